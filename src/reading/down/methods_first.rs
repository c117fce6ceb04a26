//! `Method   Determination   Unit   ...`: a table whose first column says how each row was measured.

use super::super::atom::{Atom, Kind};
use super::super::vocabulary::{Context, Role};
use crate::place::Rect;

/// How near, in points, words of one column begin.
const SAME_EDGE: f32 = 1.0;

/// The column of methods before the names.
#[derive(Debug, Clone, Copy)]
pub struct MethodsFirst {
    /// Line of its heading.
    heading: usize,
    /// The heading over the methods.
    methods: Rect,
    /// The heading over the names.
    names: Rect,
}

/// The columns of methods of a page that the headings of names stand right behind.
pub fn methods_first(atoms: &[Vec<Atom>], context: Context) -> Vec<MethodsFirst> {
    let role = |a: &Atom| {
        let said = a.label(Context { symbols: false, ..context });
        (said.unknown.is_empty() && said.analyte.is_none()).then_some(said.role).flatten()
    };
    let of =
        |(heading, line): (usize, &Vec<Atom>)| {
            let [first, second, ..] = line.as_slice() else { return None };
            (role(first) == Some(Role::Method) && role(second) == Some(Role::Analyte))
                .then_some(MethodsFirst { heading, methods: first.area, names: second.area })
        };
    atoms.iter().enumerate().filter_map(of).collect()
}

/// A row of such a table with its method behind its name, as in any other table, and the box of the method.
pub fn behind_its_name(at: usize, line: &[Atom], columns: &[MethodsFirst]) -> Option<(Vec<Atom>, Rect)> {
    let column = columns.iter().rfind(|c| c.heading < at)?;
    let [method, name, rest @ ..] = line else { return None };
    // At the left edge of their heading, or under its middle.
    let under = |a: &Atom, heading: &Rect| {
        let left = (a.area.x0 - heading.x0).abs() < SAME_EDGE;
        matches!(a.kind, Kind::Text) && (left || (a.area.mid_x() - heading.mid_x()).abs() < SAME_EDGE)
    };
    (under(method, &column.methods) && under(name, &column.names) && method.area.x1 < name.area.x0).then(
        || {
            let mut out = vec![name.clone(), method.clone()];
            out.extend_from_slice(rest);
            (out, method.area)
        },
    )
}
