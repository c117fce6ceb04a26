//! What went down on the sites: added, listed, taken back.

use super::columns::{from_json, json};
use super::{Error, History, Result};
use crate::plan::{Application, Put};
use rusqlite::params;

impl History {
    /// Keeps what went down, all of it or nothing; gives the keys.
    ///
    /// # Errors
    /// [`Error::Unknown`] for a site that is not there, else what the store says.
    pub fn add_applications(&mut self, new: &[Application], who: &str, at: &str) -> Result<Vec<i64>> {
        for one in new {
            if self.site(&one.put.site)?.is_none() {
                return Err(Error::Unknown { what: "site", key: one.put.site.clone() });
            }
        }
        self.write(|connection| {
        let mut keys = Vec::new();
        for one in new {
            connection
                .prepare_cached(
                    "INSERT INTO applications (site, applied_on, inputs, supplied, product_lb_per_1000_ft2, recorded_by,
                        recorded_at) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
                )?
                .execute(params![
                    one.put.site,
                    one.put.on.to_string(),
                    json(&one.put)?,
                    json(&one.supplied_lb_per_1000_ft2)?,
                    one.product_lb_per_1000_ft2,
                    who,
                    at,
                ])?;
            keys.push(connection.last_insert_rowid());
        }
        Ok(keys)
        })
    }

    /// What went down and was not taken back, by day, of one site or of all.
    ///
    /// # Errors
    /// What the store says.
    pub fn applications(&self, site: Option<&str>) -> Result<Vec<Application>> {
        let mut statement = self.connection.prepare_cached(
            "SELECT id, inputs, supplied, product_lb_per_1000_ft2, site FROM applications
             WHERE undone_at IS NULL AND (?1 IS NULL OR site = ?1) ORDER BY applied_on, id",
        )?;
        let mut rows = statement.query([site])?;
        let mut all = Vec::new();
        while let Some(row) = rows.next()? {
            let (inputs, supplied): (String, String) = (row.get(1)?, row.get(2)?);
            all.push(Application {
                id: row.get(0)?,
                // The site may have been joined into another since.
                put: Put { site: row.get(4)?, ..from_json::<Put>(&inputs)? },
                product_lb_per_1000_ft2: row.get(3)?,
                supplied_lb_per_1000_ft2: from_json(&supplied)?,
            });
        }
        Ok(all)
    }

    /// Takes an application back.
    ///
    /// # Errors
    /// [`Error::Unknown`] for one that is not there or is taken back already.
    pub fn undo_application(&mut self, id: i64, who: &str, at: &str) -> Result<()> {
        let done = self.write(|connection| {
            Ok(connection
            .prepare_cached(
                "UPDATE applications SET undone_by = ?2, undone_at = ?3 WHERE id = ?1 AND undone_at IS NULL",
            )?
            .execute(params![id, who, at])?)
        })?;
        match done {
            0 => Err(Error::Unknown { what: "application", key: id.to_string() }),
            _ => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::nutrients::Nutrient;
    use crate::soil::Site;
    use jiff::civil::date;

    #[test]
    fn what_went_down_comes_back_as_given_and_an_undo_takes_it_out() {
        let home = tempfile::tempdir().unwrap();
        let mut history = History::open(&home.path().join("loamline.db")).unwrap();
        let one = crate::plan::application::sample(date(2024, 5, 5), (16.0, 4.0, 8.0), 6.25);
        let unknown = history.add_applications(std::slice::from_ref(&one), "R", "t").unwrap_err();
        assert!(matches!(unknown, Error::Unknown { what: "site", .. }));
        history.upsert_site(&Site { id: "north".into(), name: "North".into(), ..Site::default() }).unwrap();
        let keys = history.add_applications(&[one.clone(), one.clone()], "R", "t").unwrap();
        let back = history.applications(Some("north")).unwrap();
        assert_eq!(back.first(), Some(&Application { id: keys[0], ..one }));
        assert!((back[1].supplied_lb_per_1000_ft2.get(Nutrient::N) - 1.0).abs() < 1e-12);
        history.undo_application(keys[0], "R", "t").unwrap();
        assert_eq!(history.applications(None).unwrap().len(), 1);
        assert!(history.undo_application(keys[0], "R", "t").is_err());
        assert!(history.applications(Some("south")).unwrap().is_empty());
    }
}
