//! The figures for scripts and spreadsheets.

use pinindex::report::figures::{csv, json};

use crate::sample;

#[test]
fn the_table_has_a_row_for_each_figure_and_an_empty_cell_for_what_is_not_known() {
    let table = csv(&sample::month());
    assert_eq!(
        table,
        "figure,of,k,n,value,unit,lower,upper,state,note\n\
         failed-checks,all,3,62,4.8,%,1.0,13.5,value,\"3 of 62, all\"\n\
         failed-checks,theatre-1,2,23,8.7,%,1.0,13.5,value,\"2 of 23, theatre-1\"\n\
         change,all,3,62,-1.2,%,1.0,13.5,value,\"3 of 62, all\"\n\
         time-to-return,spare-1,0,0,,%,,,too-little-data,\"'=SUM(A1:A9), \"\"quoted\"\"\"\n"
    );
}

#[test]
fn the_data_holds_every_text_as_it_is() {
    let report = sample::nasty();
    let value: serde_json::Value = serde_json::from_str(&json(&report)).expect("what we write is JSON");
    assert_eq!(value["figures"][3]["value"], serde_json::Value::Null);
    let list = &value["sections"][6]["blocks"][0];
    assert_eq!(list["block"], "list");
    for (at, text) in sample::NASTY.iter().enumerate() {
        assert_eq!(list["content"][at], *text);
    }
}
