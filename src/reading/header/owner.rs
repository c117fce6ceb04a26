//! Whose soil it is, what names the sample and what tells the day, where a form says it by another name: an account, a farm,
//! a club or who sent it in place of the client, a bed in place of the sample, a day by itself.

use super::super::vocabulary::Field;
use super::FieldValue;

/// Settles who is the client: a client named as such before the holder of an account, and either before a farm, which
/// is then the place alone. Read over the whole report: its first page may name the client of all.
pub fn settle(fields: &mut [FieldValue]) {
    let named = |fields: &[FieldValue], field| {
        fields.iter().any(|f| f.field == field && f.firm && !f.text.is_empty())
    };
    let accounts = if named(fields, Field::Client) { Field::Ignored } else { Field::Client };
    for account in fields.iter_mut().filter(|f| f.field == Field::Account) {
        account.field = accounts;
    }
    let beside: Vec<u32> =
        fields.iter().filter(|f| f.field == Field::Client && f.firm).map(|f| f.page).collect();
    let both = fields.iter().any(|f| f.field == Field::Farm && beside.contains(&f.page));
    for farm in fields.iter_mut().filter(|f| f.field == Field::Farm && !both) {
        farm.field = Field::Client;
    }
    for weaker in [Field::Party, Field::Submitter] {
        let own = if named(fields, Field::Client) { Field::Ignored } else { Field::Client };
        put(fields, weaker, own);
    }
    let samples: Vec<u32> =
        fields.iter().filter(|f| f.field == Field::SampleLabel && f.firm).map(|f| f.page).collect();
    for place in fields.iter_mut().filter(|f| f.field == Field::Place) {
        place.field = if samples.contains(&place.page) { Field::Ignored } else { Field::SampleLabel };
    }
    let dated =
        [Field::SampledOn, Field::ReceivedOn, Field::ReportedOn].iter().any(|day| named(fields, *day));
    put(fields, Field::Day, if dated { Field::Ignored } else { Field::ReportedOn });
}

fn put(fields: &mut [FieldValue], one: Field, other: Field) {
    for field in fields.iter_mut().filter(|f| f.field == one) {
        field.field = other;
    }
}
