//! Check values computed with general-purpose libraries (astropy, wcslib, PROJ, scipy): each file's header says how.

use std::collections::BTreeMap;

/// One row of a table, by the names in its header.
pub struct Row(BTreeMap<String, String>);

impl Row {
    /// A cell as it is.
    pub fn text(&self, name: &str) -> String {
        self.0[name].clone()
    }

    /// A cell as a number.
    pub fn number(&self, name: &str) -> f64 {
        self.0[name].parse().unwrap_or_else(|_| panic!("{name} is '{}', not a number", self.0[name]))
    }
}

/// A table of `tests/fixtures/reference/`.
pub fn reference(file: &str) -> Vec<Row> {
    table(&format!("reference/{file}"))
}

/// A table of `tests/fixtures/`.
pub fn table(file: &str) -> Vec<Row> {
    let path = format!("{}/tests/fixtures/{file}", env!("CARGO_MANIFEST_DIR"));
    let mut table = csv::ReaderBuilder::new().comment(Some(b'#')).from_path(path).unwrap();
    table.deserialize().map(|row| Row(row.unwrap())).collect()
}
