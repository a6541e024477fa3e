use std::path::Path;
fn main(){
 let root=std::env::args().nth(1).unwrap();
 let mut files=std::collections::BTreeMap::new();
 for e in walkdir::WalkDir::new(&root){let e=e.unwrap(); if e.file_type().is_file(){let p=e.path().strip_prefix(&root).unwrap().to_string_lossy().into_owned(); if pinindex::logbook::layout::belongs(&p){files.insert(p,pinindex::logbook::FileContent::Bytes(std::fs::read(e.path()).unwrap().into()));}}}
 let snap=pinindex::logbook::Snapshot{files,source:pinindex::logbook::Source::WorkingFiles{head:None,uncommitted:false}};
 let (c,f)=pinindex::contents::read(&snap,&mut |_|{});
 let get=|p:&str| snap.bytes(p).map(|b|b.to_vec());
 let text=|p:&str| snap.bytes(p).map(|b|String::from_utf8_lossy(b).into_owned());
 for l in pinindex::record::places::locate(f,&get){ println!("{}",pinindex::diagnostic::human::render(&l,&text,false)); }
 for r in &c.records { let t=pinindex::record::write::text(&r.record).unwrap(); let (again,f2)=pinindex::record::read(&r.path,t.as_bytes()); assert!(f2.is_empty(),"{t}\n{f2:?}"); assert_eq!(again.unwrap(),r.record); }
 println!("{}", pinindex::record::write::text(&c.records[c.records.len()/2].record).unwrap());
 let lives=pinindex::timeline::lives(&c);
 let site=c.site.clone().unwrap();
 let period=pinindex::report::Period::month(&std::env::args().nth(2).unwrap()).unwrap();
 let b=pinindex::report::Basis{site:&site,contents:&c,lives:&lives,period,as_of:pinindex::report::Basis::as_of(&site,period,"2026-11-25T12:00:00+01:00".parse().unwrap()),built_from:None,left_out:&[]};
 let r=pinindex::report::build(&b);
 println!("{}",serde_json::to_string_pretty(&r).unwrap());
 let _=Path::new("");
}
