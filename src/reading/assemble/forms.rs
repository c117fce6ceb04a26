//! Where the forms of a document stand, and which day or number on the page is of which form.

use super::super::found::FoundSample;
use super::super::gather::Gathered;
use super::super::header::FieldValue;
use super::super::vocabulary::Field;

/// A place in reading order: page, and points from its top.
type At = (u32, f32);

pub(super) fn order(a: &At, b: &At) -> std::cmp::Ordering {
    a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
}

/// Where the forms of a document have their tables and their names, in reading order. Rows of a table of samples name
/// themselves and are no forms.
#[derive(Debug, Default)]
pub(super) struct Forms {
    pub(super) tables: Vec<At>,
    pub(super) names: Vec<At>,
    /// Tables whose own heading names their samples, by place; indices into the samples.
    pub(super) headed: Vec<(At, usize)>,
}

pub(super) fn is_form(found: &FoundSample) -> bool {
    !found.named_by_table || found.x > 0.0
}

impl Forms {
    pub(super) fn of(gathered: &Gathered) -> Self {
        let samples = || gathered.samples.iter().enumerate().filter(|(_, s)| is_form(s));
        let mut tables: Vec<At> = samples().map(|(_, s)| (s.page, s.y)).collect();
        let headed = samples().filter(|(_, s)| s.named_by_table && s.field(Field::SampleLabel).is_some());
        let mut headed: Vec<(At, usize)> = headed.map(|(i, s)| ((s.page, s.y), i)).collect();
        // The name over the columns of a table stands right above its first row.
        let mut names: Vec<At> = headed.iter().map(|((page, y), _)| (*page, *y - 1.0)).collect();
        let firm = gathered.fields.iter().filter(|f| f.field == Field::SampleLabel && f.firm);
        names.extend(firm.map(|f| (f.page, f.area.y0)));
        tables.sort_by(order);
        names.sort_by(order);
        headed.sort_by(|a, b| order(&a.0, &b.0));
        Self { tables, names, headed }
    }

    /// True where a table, and behind it a name, stand between two places: what stands at the first is another form's.
    fn ended(&self, from: At, to: At) -> bool {
        let after = |list: &[At], at: At| list.partition_point(|t| order(t, &(at.0, at.1 + 0.5)).is_le());
        let Some(table) = self.tables.get(after(&self.tables, from)) else { return false };
        self.names
            .get(after(&self.names, *table))
            .is_some_and(|name| order(&(name.0, name.1 + 0.5), &to).is_lt())
    }
}

/// Where several forms name their samples, a day or number belongs to the form it stands in: what one sample lacks is
/// not another's. A form begins with the first name after a table; what stands above all names is the report's for all.
pub(super) fn own_form(forms: &Forms, found: &FoundSample, candidates: &mut Vec<&FieldValue>) {
    if forms.names.len() < 2 || !is_form(found) {
        return;
    }
    let own = (found.page, found.y);
    candidates.retain(|f| {
        let at = (f.page, f.area.y0);
        let first = forms.names.first().is_some_and(|n| order(&(at.0, at.1 + 30.0), n).is_lt());
        first || order(&(at.0, at.1 + 0.5), &own).is_lt() && !forms.ended(at, own)
    });
}
