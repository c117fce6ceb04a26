//! Whose soil it is, where a form names an account or a farm besides, or in place of, the client.

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
}
