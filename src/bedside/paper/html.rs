//! The blank form as one web page that prints on the same paper as the PDF: no script, no picture file, no other address.

use super::{Blank, Choice, Day, Named, Paper, Row, words};
use crate::diagnostic::hidden::markup;
use crate::register::site;
use std::fmt::Write;

const STYLE: &str = include_str!("../../../report-templates/paper.css");

/// A box to tick.
const TICK: &str = "<i class=\"tick\"></i>";

/// Returns the whole page.
pub fn render(paper: &Paper) -> String {
    let week = !paper.days.is_empty();
    let layout = &paper.layout;
    let size = match layout.paper {
        site::Paper::A4 => "A4",
        site::Paper::UsLetter => "letter",
    };
    let turned = if layout.landscape { " landscape" } else { "" };
    let measures =
        format!(":root {{ --row: {}mm; --text: {}pt; }}\n@page {{ size: {size}{turned}; }}\n", layout.row, layout.text);
    let notices: String =
        paper.notices.iter().map(|notice| format!("<p class=\"notice\">{}</p>\n", markup(notice))).collect();
    format!(
        "<!DOCTYPE html>\n<html lang=\"{language}\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <meta name=\"generator\" content=\"pinindex\">\n<title>{title}</title>\n<style>\n{STYLE}{measures}</style>\n\
         </head>\n<body class=\"{kind}\">\n{head}{notices}{sheet}</body>\n</html>\n",
        language = paper.language,
        title = markup(&paper.title),
        kind = match (week, layout.landscape) {
            (false, _) => "day",
            (true, false) => "week",
            (true, true) => "week lying",
        },
        head = head(paper),
        sheet = if week { week_sheet(paper) } else { day_sheet(paper) },
    )
}

fn head(paper: &Paper) -> String {
    let fact = |fact: &Named| format!("<span>{} <b>{}</b></span> ", markup(&fact.name), markup(&fact.value));
    let facts: String = paper.facts.iter().map(fact).collect();
    format!(
        "<header>\n<div>\n<p>{site} · {span}</p>\n<h1>{machine} · {heading}</h1>\n<p class=\"facts\">{facts}\
         <span>{says}</span></p>\n</div>\n<p class=\"code\">{label}<br><b>{code}</b></p>\n</header>\n",
        site = markup(&paper.site),
        span = markup(&paper.span),
        machine = markup(&paper.machine),
        heading = markup(&paper.heading),
        says = markup(&paper.code_says),
        label = paper.words.form_code,
        code = markup(&paper.code),
    )
}

fn day_sheet(paper: &Paper) -> String {
    let w = &paper.words;
    let emergency = if paper.emergency {
        format!("<div class=\"field\">{TICK} <b>{}</b> {}</div>", w.emergency_start, mark(words::EMERGENCY))
    } else {
        String::new()
    };
    let signers: String = (1..=2)
        .map(|n| {
            field(&format!("{} ({n}), {}", w.done_by, w.name), "")
                + &field(&format!("{} ({n}), {}", w.done_by, w.signature), "")
        })
        .collect();
    let heads: String = [w.number, w.item, w.answer, w.pass, w.fail, w.not_done, w.again]
        .map(|title| format!("<th scope=\"col\">{title}</th>"))
        .concat();
    let rows: String = paper.rows.iter().map(|row| day_row(paper, row)).collect();
    format!(
        "<main>\n<div class=\"fields\">{date}{started}{finished}{emergency}</div>\n<div class=\"fields\">{signers}</div>\n\
         {legend}<table>\n<colgroup><col class=\"no\"><col><col class=\"read\"><col class=\"pass\"><col class=\"fail\">\
         <col class=\"undone\"><col class=\"again\"></colgroup>\n<thead>\n<tr class=\"told\"><td colspan=\"7\">{foot}</td></tr>\n\
         <tr>{heads}</tr>\n</thead>\n<tbody>\n{rows}</tbody>\n</table>\n{ending}</main>\n",
        foot = markup(&paper.foot),
        date = field(w.date, paper.date.as_deref().unwrap_or_default()),
        started = field(w.started, ""),
        finished = field(w.finished, ""),
        legend = legend(paper),
        ending = day_ending(paper),
    )
}

fn day_row(paper: &Paper, row: &Row) -> String {
    let w = &paper.words;
    let lines = |row: &Row| row.blanks.iter().map(|blank| line(blank, w.unit)).collect::<String>();
    let initials = |row: &Row| {
        let asked = row.initials.iter().map(|role| write_on(&format!("{}, {role}", w.initials), ""));
        asked.collect::<String>()
    };
    let fails = mark(row.fails);
    let answer = if row.choices.is_empty() {
        let written = if row.blanks.is_empty() { initials(row) } else { lines(row) };
        format!(
            "<td class=\"written\">{written}</td><td class=\"box\">{TICK}</td><td class=\"box\">{TICK} {fails}</td>"
        )
    } else {
        let choices: String = row.choices.iter().map(|choice| choice_box(choice, w.fails)).collect();
        format!("<td colspan=\"2\">{choices}</td><td class=\"box\">{fails}</td>")
    };
    let again = if row.blanks.is_empty() && row.choices.is_empty() {
        format!("<td class=\"box small\">{TICK} {} {TICK} {}</td>", w.pass, w.fail)
    } else {
        format!("<td class=\"written\">{}</td>", write_on("", ""))
    };
    format!(
        "<tr><th scope=\"row\">{}{}</th><td class=\"item\">{}</td>{answer}<td class=\"box\">{TICK}</td>{again}</tr>\n",
        row.number,
        row.cannot_wait.map_or(String::new(), |sign| format!("<br>{}", mark(sign))),
        item(paper, row),
    )
}

/// Returns title, instruction and limits of an item.
fn item(paper: &Paper, row: &Row) -> String {
    let mut item = format!("<b class=\"title\">{}</b>", markup(&row.title));
    if let Some(by) = &row.by {
        let _ = write!(item, " <small>({})</small>", markup(by));
    }
    if let Some(instruction) = row.instruction.as_ref().filter(|_| paper.layout.instructions) {
        let _ = write!(item, "<br><small>{}</small>", markup(instruction));
    }
    if !row.limits.is_empty() {
        let limit = |limit: &Named| format!("<b>{}</b> ({})", markup(&limit.name), markup(&limit.value));
        let limits = row.limits.iter().map(limit).collect::<Vec<_>>().join("; ");
        let _ = write!(item, "<br><small>{limits}</small>");
    } else if !row.short_limits.is_empty() {
        let _ = write!(item, "<br><small><b>{}</b></small>", markup(&row.short_limits));
    }
    item
}

fn day_ending(paper: &Paper) -> String {
    let w = &paper.words;
    let call: Vec<String> = paper.call.iter().map(|line| markup(line)).collect();
    format!(
        "<div class=\"ending\">\n<div class=\"failed\">\n<h2>{failed}</h2>\n{what}{more}\
         <div class=\"side\"><span>{TICK} {withheld}</span><span>{TICK}</span>{restricted}<span>{TICK} {label}</span></div>\n\
         <div class=\"side\"><span>{call_word} <b>{call}</b></span>{at}{to}</div>\n{by}</div>\n{remarks}{more}{more}\
         <div class=\"side\">{typed}{on}</div>\n{cautions}</div>\n",
        failed = w.failed,
        what = write_on(w.what_failed, ""),
        more = write_on("", ""),
        withheld = w.withheld,
        restricted = write_on(w.restricted, ""),
        label = w.label,
        call_word = w.call,
        call = call.join("<br>"),
        at = write_on(w.called_at, ""),
        to = write_on(w.spoken_to, ""),
        by = write_on(w.withheld_by, ""),
        remarks = write_on(w.remarks, ""),
        typed = write_on(w.typed_in, ""),
        on = write_on(w.typed_on, ""),
        cautions = cautions(paper),
    )
}

fn week_sheet(paper: &Paper) -> String {
    let w = &paper.words;
    let day = |day: &Day| {
        let date = day.date.as_deref().map_or("________".to_owned(), markup);
        let expected =
            if day.expected == Some(false) { format!("<br><small>{}</small>", w.not_expected) } else { String::new() };
        format!("<th scope=\"col\">{}<br>{date}{expected}</th>", day.name)
    };
    let days: String = paper.days.iter().map(day).collect();
    let empty = "<td></td>".repeat(paper.days.len());
    let named: String = [w.started.to_owned(), w.finished.to_owned(), format!("{}, {}", w.done_by, w.initials)]
        .map(|title| format!("<tr><th scope=\"row\" colspan=\"4\" class=\"named\">{title}</th>{empty}</tr>\n"))
        .concat();
    let rows: String = paper.rows.iter().map(|row| week_rows(paper, row)).collect();
    let call: Vec<String> = paper.call.iter().map(|line| markup(line)).collect();
    format!(
        "<main>\n{legend}<table>\n<colgroup><col class=\"no\"><col><col class=\"marks\"><col class=\"units\">\
         <col span=\"7\" class=\"days\"></colgroup>\n<thead>\n<tr><td colspan=\"4\"><small>{by} {says}</small></td>{days}</tr>\n</thead>\n\
         <tbody>\n{named}{rows}</tbody>\n</table>\n<div class=\"ending\">\n{remarks}{more}\
         <div class=\"side\">{names}{typed}{on}</div>\n<p>{call_word} <b>{call}</b>.</p>\n{cautions}<p>{foot}</p>\n</div>\n</main>\n",
        foot = markup(&paper.foot),
        legend = legend(paper),
        by = markup(&paper.by),
        says = w.week_head,
        remarks = write_on(w.remarks_of_week, ""),
        more = write_on("", ""),
        names = write_on(w.names, ""),
        typed = write_on(w.typed_in, ""),
        on = write_on(w.typed_on, ""),
        call_word = w.call,
        call = call.join(", "),
        cautions = cautions(paper),
    )
}

/// Returns the rows of a step: one, or one for each number that is written down.
fn week_rows(paper: &Paper, row: &Row) -> String {
    let w = &paper.words;
    let strike = "<svg aria-hidden=\"true\" viewBox=\"0 0 100 100\" preserveAspectRatio=\"none\">\
                  <path d=\"M0 0L100 100\" vector-effect=\"non-scaling-stroke\"/></svg>";
    let room = |day: &Day| {
        if day.expected == Some(false) { format!("<td class=\"struck\">{strike}</td>") } else { "<td></td>".to_owned() }
    };
    let rooms: String = paper.days.iter().map(room).collect();
    let choice = |choice: &Choice| {
        let fails = if choice.fails { format!(" ({})", w.fails) } else { String::new() };
        format!("{} {}{fails}", choice.digit, choice.word)
    };
    let choices = row.choices.iter().map(choice).collect::<Vec<_>>().join(", ");
    let under = [row.short_limits.as_str(), &choices, row.by.as_deref().unwrap_or_default()];
    let under = under.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join("; ");
    let under = if under.is_empty() { under } else { format!("<br><small>{}</small>", markup(&under)) };
    let span = match row.blanks.len() {
        0 | 1 => String::new(),
        lines => format!(" rowspan=\"{lines}\""),
    };
    let start = format!(
        "<th scope=\"row\"{span}>{}</th><td class=\"item\"{span}><b class=\"title\">{}</b>{under}</td>\
         <td class=\"box\"{span}>{}{}</td>",
        row.number,
        markup(&row.title),
        row.cannot_wait.map_or(String::new(), mark),
        mark(row.fails),
    );
    if row.blanks.is_empty() {
        return format!("<tr>{start}<td></td>{rooms}</tr>\n");
    }
    let lines = row.blanks.iter().enumerate().map(|(at, blank)| {
        let start = if at == 0 { start.as_str() } else { "" };
        let name = if blank.name.is_empty() { String::new() } else { format!("{}<br>", blank.name) };
        format!(
            "<tr>{start}<td class=\"unit\"><small>{name}{}</small></td>{rooms}</tr>\n",
            blank.unit.unwrap_or(w.unit)
        )
    });
    lines.collect()
}

fn legend(paper: &Paper) -> String {
    let sign = |sign: &Named| format!("<span>{} {}</span> ", mark(&sign.name), markup(&sign.value));
    let signs: String = paper.signs.iter().map(sign).collect();
    let by = if paper.days.is_empty() { format!("<span>{}</span>", markup(&paper.by)) } else { String::new() };
    format!("<p class=\"legend\">{signs}{by}</p>\n")
}

fn cautions(paper: &Paper) -> String {
    format!("<p class=\"cautions\">{} <b>{}</b></p>\n", paper.cautions.join(" "), paper.words.no_patient)
}

/// Returns a sign: white on black, in a ring, or plain.
fn mark(sign: &str) -> String {
    let class = match sign {
        words::EMERGENCY => "sign",
        words::WITHHOLD | words::RESTRICT => "ring",
        _ => "plain",
    };
    format!("<b class=\"{class}\">{sign}</b>")
}

fn field(name: &str, content: &str) -> String {
    format!("<div class=\"field\"><small>{name}</small><br><b>{}</b></div>", markup(content))
}

/// Returns a line to write on, with a name before it and a unit after it.
fn write_on(name: &str, unit: &str) -> String {
    format!("<div class=\"write\"><span>{name}</span><i></i><span>{unit}</span></div>")
}

fn line(blank: &Blank, unit: &str) -> String {
    write_on(blank.name, &blank.unit.map_or_else(|| format!("{unit} ______"), str::to_owned))
}

fn choice_box(choice: &Choice, fails: &str) -> String {
    let fails = if choice.fails { format!(" <b>({fails})</b>") } else { String::new() };
    format!("<span class=\"choice\">{} {TICK} {}{fails}</span> ", choice.digit, markup(&choice.word))
}
