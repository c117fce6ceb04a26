//! The same sample printed twice: which printing counts. The answer follows from the set of printings alone.

use super::Result;
use super::lookup::Lookup;
use super::printing::Printing;
use rusqlite::{Connection, params};
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

/// Marks, for the samples just written and all other printings of them, which one counts.
pub(super) fn mark(lookup: &Lookup<'_>, samples: &[i64]) -> Result<()> {
    let mut seen = BTreeSet::new();
    for sample in samples {
        if seen.contains(sample) || lookup.alone(*sample)? {
            continue;
        }
        let Some(first) = lookup.printing(*sample)? else { continue };
        let group = connected(lookup, first)?;
        seen.extend(group.keys().copied());
        if group.len() > 1 {
            settle(lookup.connection, &group.into_values().collect::<Vec<_>>())?;
        }
    }
    Ok(())
}

/// All printings reachable from one by containment: what is marked together.
fn connected(lookup: &Lookup<'_>, first: Rc<Printing>) -> Result<BTreeMap<i64, Rc<Printing>>> {
    let mut known = BTreeSet::from([first.id]);
    let mut group = BTreeMap::new();
    let mut open = vec![first];
    while let Some(printing) = open.pop() {
        for other in lookup.candidates(&printing)? {
            if !known.contains(&other.id) && (printing.within(&other) || other.within(&printing)) {
                known.insert(other.id);
                open.push(other);
            }
        }
        group.insert(printing.id, printing);
    }
    Ok(group)
}

/// Of printings of the same numbers one counts; the others point to it. What a person decided or superseded on one
/// of them holds for all.
fn settle(connection: &Connection, group: &[Rc<Printing>]) -> Result<()> {
    let mut ranked: Vec<&Printing> = group.iter().map(Rc::as_ref).collect();
    ranked.sort_by(|a, b| a.rank().cmp(&b.rank()));
    let mut counting: Vec<&Printing> = Vec::new();
    for printing in ranked {
        let better = counting.iter().find(|better| printing.within(better)).map(|better| better.id);
        let changed = connection
            .prepare_cached("UPDATE samples SET duplicate_of = ?2 WHERE id = ?1 AND duplicate_of IS NOT ?2")?
            .execute(params![printing.id, better])?;
        if changed > 0 {
            super::site::changed_by_sample(connection, printing.id)?;
        }
        if better.is_none() {
            counting.push(printing);
        }
    }
    for sample in counting {
        share(connection, sample.id)?;
    }
    Ok(())
}

/// Brings what stands on any printing of a sample to all of them.
fn share(connection: &Connection, counting: i64) -> Result<()> {
    connection
        .prepare_cached(
            "INSERT INTO standing (reading_id, status, doubt, analyte, method, value, unit, basis, qualifier, decided)
             SELECT x.id, t.status, t.doubt, t.analyte, t.method, t.value, t.unit, t.basis, t.qualifier, t.decided
             FROM samples o JOIN readings r ON r.sample_id = o.id JOIN standing t ON t.reading_id = r.id AND t.decided = 1
             JOIN samples n ON n.id = ?1 OR n.duplicate_of = ?1
             JOIN readings x ON x.sample_id = n.id AND x.analyte = r.analyte AND x.method = r.method
             WHERE (o.id = ?1 OR o.duplicate_of = ?1) AND n.id <> o.id
             ON CONFLICT (reading_id) DO UPDATE SET status = excluded.status, doubt = excluded.doubt, analyte = excluded.analyte,
                method = excluded.method, value = excluded.value, unit = excluded.unit, basis = excluded.basis,
                qualifier = excluded.qualifier, decided = 1 WHERE decided = 0",
        )?
        .execute([counting])?;
    connection
        .prepare_cached(
            "UPDATE samples SET superseded_by = (SELECT min(superseded_by) FROM samples WHERE (id = ?1 OR duplicate_of = ?1) AND superseded_by IS NOT NULL)
             WHERE (id = ?1 OR duplicate_of = ?1) AND superseded_by IS NULL
               AND EXISTS (SELECT 1 FROM samples WHERE (id = ?1 OR duplicate_of = ?1) AND superseded_by IS NOT NULL)",
        )?
        .execute([counting])?;
    // What a person said of whose it is and when it was taken was said of some printing; the others follow the last.
    connection
        .prepare_cached(
            "WITH assigned AS (SELECT s.site, s.zone FROM decisions d LEFT JOIN decisions u ON u.id = d.undoes
                JOIN samples s ON s.id = d.sample_id
                WHERE (s.id = ?1 OR s.duplicate_of = ?1) AND coalesce(u.action, d.action) = 'assign' ORDER BY d.id DESC LIMIT 1)
             UPDATE samples SET site = (SELECT site FROM assigned), zone = (SELECT zone FROM assigned)
             WHERE (id = ?1 OR duplicate_of = ?1) AND EXISTS (SELECT 1 FROM assigned)",
        )?
        .execute([counting])?;
    connection
        .prepare_cached(
            "WITH told AS (SELECT dated_on, season FROM samples WHERE (id = ?1 OR duplicate_of = ?1) AND dated_on IS NOT NULL LIMIT 1)
             UPDATE samples SET dated_on = (SELECT dated_on FROM told), season = (SELECT season FROM told)
             WHERE (id = ?1 OR duplicate_of = ?1) AND sampled_on IS NULL AND EXISTS (SELECT 1 FROM told)",
        )?
        .execute([counting])?;
    super::whereabouts::let_in(connection, counting)
}
