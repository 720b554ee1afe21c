//! Everything out, or everything gone: it is the player's own.

use std::io::Write;

use rusqlite::types::ValueRef;
use serde_json::{Map, Value};

use crate::error::{DiaryError, Trouble};
use crate::store::Diary;

/// Every table, in an order in which what is referred to comes first.
const TABLES: [&str; 7] = ["piece", "flip", "session", "pass", "flip_day", "day", "student_day"];

impl Diary {
    /// Writes everything as JSON, one line to each row: `{"table":"pass","id":1,…}`. Units are those of the tables:
    /// tempos in thousandths of a quarter note a minute, times in microseconds, days since 1 January 1970.
    ///
    /// # Errors
    /// The diary can't be read, or what it goes into can't be written.
    pub fn export(&self, into: &mut dyn Write) -> Result<(), DiaryError> {
        for table in TABLES {
            let failed = |error: rusqlite::Error| self.failed(&error);
            let mut statement = self.connection.prepare(&format!("SELECT * FROM {table}")).map_err(failed)?;
            let names: Vec<String> = statement.column_names().map(str::to_owned).collect();
            let mut rows = statement.query([]).map_err(failed)?;
            while let Some(row) = rows.next().map_err(failed)? {
                let mut object = Map::new();
                object.insert("table".to_owned(), Value::from(table));
                for (place, name) in names.iter().enumerate() {
                    object.insert(name.clone(), json(row.get_ref(place).map_err(failed)?));
                }
                writeln!(into, "{}", Value::Object(object)).map_err(|error| {
                    let trouble = Trouble::Other(format!("the export can't be written: {error}"));
                    DiaryError::new(&self.path, trouble)
                })?;
            }
        }
        Ok(())
    }

    /// Deletes everything, for good.
    ///
    /// # Errors
    /// The diary can't be written; nothing is deleted then.
    pub fn delete_everything(&mut self) -> Result<(), DiaryError> {
        let path = self.path.clone();
        let delete = |transaction: rusqlite::Transaction<'_>| {
            for table in TABLES.iter().rev() {
                transaction.execute(&format!("DELETE FROM {table}"), [])?;
            }
            transaction.commit()
        };
        self.connection.transaction().and_then(delete).map_err(|error| DiaryError::of(&path, &error))?;
        // What was deleted is not to be found in the file any more.
        let clean = self.connection.execute_batch("VACUUM; PRAGMA wal_checkpoint(TRUNCATE);");
        clean.map_err(|error| self.failed(&error))
    }
}

fn json(value: ValueRef<'_>) -> Value {
    match value {
        ValueRef::Null => Value::Null,
        ValueRef::Integer(number) => Value::from(number),
        ValueRef::Real(number) => Value::from(number),
        ValueRef::Text(text) | ValueRef::Blob(text) => Value::from(String::from_utf8_lossy(text)),
    }
}
