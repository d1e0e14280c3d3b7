//! `substitute`: what can stand in, ranked; the first lines are the answer.

use std::path::{Path, PathBuf};

use serde_json::{Value as Json, json};

use super::args::SubstituteArgs;
use super::load::{load, load_fleet};
use super::pair::{candidate_json, title};
use super::report::{check_not_overwritten, check_output};
use super::{Ran, Streams, lookup, measured, render};
use crate::fit::{
    Case, From, GateOutcome, Ranked, Ranking, Verdict, cautions_for, first_line, load_line,
    oil_to_fill, rank,
};
use crate::report::{swap_sheet, write_file};
use crate::units::{Dimension, beside};

pub(super) fn run(args: &SubstituteArgs, streams: &mut Streams<'_>) -> Ran {
    let (asked, paths) = asked(args)?;
    if let Some(path) = &args.sheet {
        check_output(path)?;
        check_not_overwritten(path)?;
    }
    let mut loaded = match asked {
        Some(_) => load_fleet(&paths, streams)?,
        None => load(&paths, streams)?,
    };
    let plant = &mut loaded.intake.plant;
    let (index, described) = match (&asked, &args.like) {
        (Some(tag), _) => (lookup::tag(plant, tag)?, Vec::new()),
        (None, like) => lookup::like(plant, like.as_deref().unwrap_or_default(), &loaded.policy)?,
    };
    let measured = lookup::set(plant, index, None, &args.set, &loaded.policy)?;
    if let Some(path) = &args.save_measured {
        measured::save(path, &measured)?;
        streams.say(&format!("wrote {}; name it among the inputs from now on", path.display()));
    }
    let case = Case::new(&loaded.intake.plant, &loaded.policy, index);
    let ranking = rank(&case);
    if let Some(path) = &args.sheet {
        let first = first_choice(&ranking).ok_or_else(|| {
            format!("nothing fits `{}`, so there is no swap to write a sheet for", case.tag())
        })?;
        write_file(path, &swap_sheet(&case, first, render::system(streams.common))?)?;
        streams.say(&format!("wrote {} for {}", path.display(), first.candidate.id));
    }
    if streams.common.json {
        render::document("substitute", as_json(&case, &ranking, args.top), streams.out)?;
    } else {
        answer(&case, &ranking, streams)?;
        let measured = measured.iter().map(|m| m.said("you measured"));
        for line in described.into_iter().chain(measured) {
            writeln!(streams.out, "{}", render::wrap(&format!("        {line}"), 8))?;
        }
        lists(&case, &ranking, args.top, streams)?;
    }
    Ok(super::strict(streams.common, &loaded.intake.findings, &[]))
}

/// The tag asked for, unless `--like` stands for it, and the paths behind it.
fn asked(args: &SubstituteArgs) -> Result<(Option<String>, Vec<PathBuf>), String> {
    let mut words = args.tag_and_paths.iter();
    let tag = if args.like.is_some() { None } else { words.next().cloned() };
    let paths: Vec<PathBuf> = words.map(PathBuf::from).collect();
    match (&tag, paths.is_empty()) {
        (Some(tag), true) => Err(format!(
            "name the files or folders to read behind the tag: sparemesh substitute {tag} PATH"
        )),
        (Some(tag), false) if Path::new(tag).exists() && !paths[0].exists() => Err(format!(
            "the tag comes first, then the files or folders: sparemesh substitute {} {tag}",
            paths[0].display()
        )),
        _ => Ok((tag, paths)),
    }
}

/// The candidate that the answer names first.
fn first_choice<'a, 'b>(ranking: &'b Ranking<'a>) -> Option<&'b Ranked<'a>> {
    let free = ranking.soonest.iter().find(|r| r.not_available.is_none());
    free.or(ranking.open.first()).or(ranking.soonest.first()).or(ranking.to_order.first())
}

/// The lines a planner reads first.
fn answer(
    case: &Case<'_>,
    ranking: &Ranking<'_>,
    streams: &mut Streams<'_>,
) -> std::io::Result<()> {
    if let Some(line) = first_line(case) {
        writeln!(streams.out, "{}", render::wrap(line, 0))?;
    }
    let system = render::system(streams.common);
    let mut say = |label: &str, text: &str| {
        let text = beside(text, system);
        writeln!(streams.out, "{}", render::wrap(&format!("{label:<8}{text}"), 8))
    };
    say("Load", &load_line(case))?;
    let free = ranking.soonest.iter().find(|r| r.not_available.is_none());
    if let Some(best) = free {
        let limit = case.policy.running_again_hours;
        let late =
            if best.hours > limit { format!(", later than {limit:.0} h") } else { String::new() };
        say(
            "Take",
            &format!(
                "{}, {}: {}, about {:.0} h{late}",
                title(best),
                best.candidate.id,
                best.assessed.verdict.word(),
                best.hours
            ),
        )?;
        say("From", &from_where(case, best))?;
        say("Do", &work_line(case, best))?;
        say("Watch", &watch_line(best))?;
        match without_limits(ranking, best) {
            Some(full) => say("Or", &full),
            None => Ok(()),
        }
    } else {
        nothing_free(case, ranking, &mut say)
    }
}

/// What runs without the limits of a stop-gap, where it is here and takes little longer.
fn without_limits(ranking: &Ranking<'_>, best: &Ranked<'_>) -> Option<String> {
    if best.assessed.verdict != Verdict::StopGap {
        return None;
    }
    let free = |r: &&Ranked<'_>| r.not_available.is_none() && r.assessed.verdict < Verdict::StopGap;
    let full = ranking.soonest.iter().find(free)?;
    let (more, verdict) = (full.hours - best.hours, full.assessed.verdict.word());
    let later = if more < 0.5 { "as soon".to_owned() } else { format!("{more:.0} h later") };
    Some(format!(
        "{}, {}: {verdict}, about {:.0} h: {later}, and no such limits",
        title(full),
        full.candidate.id,
        full.hours
    ))
}

fn nothing_free(
    case: &Case<'_>,
    ranking: &Ranking<'_>,
    say: &mut dyn FnMut(&str, &str) -> std::io::Result<()>,
) -> std::io::Result<()> {
    let refer = ranking.open.iter().find(|r| r.assessed.verdict == Verdict::Refer);
    if let Some(open) = refer.or(ranking.open.first()) {
        let id = format!("{} ({})", title(open), open.candidate.id);
        if open.assessed.verdict == Verdict::Refer {
            say("Take", &format!("nothing yet: {id} is for the responsible engineer to decide"))?;
        } else {
            let with = open.assessed.with_ratio();
            say("Take", &format!("nothing yet: measure first, then {id} may do{with}"))?;
            say("Measure", &measure_line(open))?;
        }
        say("From", &from_where(case, open))?;
    } else if let Some(taken) = ranking.soonest.first() {
        let why = taken.not_available.as_deref().unwrap_or("not free");
        say("Take", &format!("nothing free: {} fits, but: {why}", taken.candidate.id))?;
    } else {
        say("Take", "nothing: no unit on the shelf and no idle machine fits")?;
    }
    match ranking.to_order.first() {
        Some(order) if order.assessed.verdict < Verdict::Measure => {
            let days = order.candidate.lead_days(case.policy);
            say(
                "Order",
                &format!("{}: {}, {days:.0} days", title(order), order.assessed.verdict.word()),
            )
        }
        Some(order) => {
            let texts = measure_line(order);
            let first = match ranking.open.first() {
                Some(open) if measure_line(open) == texts => "measure the same".to_owned(),
                _ => texts,
            };
            let with = order.assessed.with_ratio();
            say("Order", &format!("{} may do{with}; first: {first}", title(order)))
        }
        None => {
            say("Order", "no model of the catalogue fits; ask the maker with the plate in hand")
        }
    }
}

fn from_where(case: &Case<'_>, ranked: &Ranked<'_>) -> String {
    match ranked.candidate.from {
        From::Shelf(line) => {
            let shelf = &case.plant.shelf[line];
            let date = shelf
                .stock_date()
                .map_or_else(|| "stock date not given".to_owned(), |d| format!("stock as of {d}"));
            let mut text = format!(
                "bin {}, {:.0} on hand, {date}",
                shelf.bin().unwrap_or("not given"),
                shelf.quantity().unwrap_or(0.0)
            );
            if let Some(reserved) = shelf.reserved_for() {
                text.push_str(&format!(", reserved for {reserved}"));
            }
            if !ranked.bares.is_empty() {
                let tags = some_of(&ranked.bares);
                text.push_str(&format!("; taking it leaves nothing on the shelf for {tags}"));
            }
            if !ranked.last_ready_of.is_empty() {
                let tags = some_of(&ranked.last_ready_of);
                text.push_str(&format!(
                    "; it is the last ready spare of {tags}: then only units that nobody has inspected are left for them"
                ));
            }
            text
        }
        From::Position(index) => {
            let position = &case.plant.positions[index];
            format!(
                "{} {} ({}); what comes off counts as removed",
                position.tag().unwrap_or("?"),
                position.driven_machine().unwrap_or(""),
                position.position_state().unwrap_or("state not given")
            )
        }
        From::Catalogue(_) => {
            format!("to order, {:.0} days", ranked.candidate.lead_days(case.policy))
        }
    }
}

/// A few of the tags, and how many more.
fn some_of(tags: &[String]) -> String {
    const SHOWN: usize = 4;
    let shown = tags.iter().take(SHOWN).cloned().collect::<Vec<_>>().join(", ");
    match tags.len().saturating_sub(SHOWN) {
        0 => shown,
        more => format!("{shown} and {more} more"),
    }
}

fn work_line(case: &Case<'_>, ranked: &Ranked<'_>) -> String {
    let mut parts: Vec<String> =
        ranked
            .assessed
            .gates
            .iter()
            .flat_map(|g| &g.work)
            .map(|w| {
                if w.at_night { w.text.clone() } else { format!("{} (needs the workshop)", w.text) }
            })
            .collect();
    parts.push(format!(
        "fill the oil ({}; litres for this position), open the breather, preservative out",
        oil_to_fill(case, &ranked.candidate)
    ));
    parts.join("; ")
}

fn watch_line(ranked: &Ranked<'_>) -> String {
    let mut parts = ranked.assessed.limits_in_words();
    if !parts.is_empty() {
        parts.push("until the right unit is in".into());
    }
    if let Some(swap) = &ranked.assessed.swap {
        parts.push(format!("swap {swap}"));
    }
    let (disputed, other): (Vec<&String>, Vec<&String>) =
        ranked.assessed.confirm.iter().partition(|c| c.starts_with("DISPUTED"));
    parts.extend(disputed.into_iter().cloned());
    parts.extend(other.into_iter().take(2).cloned());
    let told = |word: &str| parts.iter().any(|p| p.starts_with(word));
    let open: Vec<&str> = ranked
        .assessed
        .gates
        .iter()
        .filter(|g| g.outcome == GateOutcome::Unknown)
        .map(|g| g.gate.word())
        .filter(|word| !told(word))
        .collect();
    if !open.is_empty() {
        parts.push(format!("not known, confirm on the machine: {}", open.join(", ")));
    }
    parts.join("; ")
}

/// Texts in order, each once; what a longer one begins with is said by it.
fn once_each(texts: impl Iterator<Item = String>) -> Vec<String> {
    let all: Vec<String> = texts.collect();
    let mut out: Vec<String> = Vec::new();
    for text in &all {
        let longer = |other: &String| other.len() > text.len() && other.starts_with(text.as_str());
        if !out.contains(text) && !all.iter().any(longer) {
            out.push(text.clone());
        }
    }
    out
}

fn measure_line(ranked: &Ranked<'_>) -> String {
    let texts = ranked.assessed.to_measure();
    if !texts.is_empty() {
        return texts.join("; ");
    }
    // A deciding gate that no measurement settles: its own words say why.
    let open = ranked.assessed.gates.iter().filter(|g| ranked.assessed.open.contains(&g.gate));
    open.map(|g| format!("{}: {}", g.gate.word(), g.note)).collect::<Vec<_>>().join("; ")
}

/// The rankings below the answer.
fn lists(
    case: &Case<'_>,
    ranking: &Ranking<'_>,
    top: usize,
    streams: &mut Streams<'_>,
) -> std::io::Result<()> {
    let common = streams.common;
    let row = |r: &Ranked<'_>| {
        let margin = r.assessed.margin.map_or_else(|| "?".to_owned(), |m| format!("{m:.2}"));
        let speed = r.assessed.output_rpm;
        vec![
            r.candidate.id.clone(),
            r.assessed.verdict.word().to_owned(),
            until(case, r),
            margin,
            render::quantity(speed, Dimension::Speed, common),
            beside(&reason(r), render::system(common)),
        ]
    };
    // What is to be measured for several of them is told once.
    let free = ranking.soonest.iter().any(|r| r.not_available.is_none());
    let above = ranking.open.first().filter(|r| !free && r.assessed.verdict == Verdict::Measure);
    let mut asked: Vec<(String, String)> =
        above.map(|r| (measure_line(r), r.candidate.id.clone())).into_iter().collect();
    let mut row = |r: &Ranked<'_>| {
        let mut cells = row(r);
        if r.assessed.verdict == Verdict::Measure && r.not_available.is_none() {
            let texts = measure_line(r);
            match asked.iter().find(|(said, _)| *said == texts) {
                Some((_, first)) => {
                    let same = if *first == r.candidate.id {
                        "measure what stands above".to_owned()
                    } else {
                        format!("measure the same as for {first}")
                    };
                    let rest = reason(r).replacen(&texts, &same, 1);
                    cells[5] = beside(&rest, render::system(common));
                }
                None => asked.push((texts, r.candidate.id.clone())),
            }
        }
        cells
    };
    let mut print = |heading: &str, list: &[Ranked<'_>]| -> std::io::Result<()> {
        if list.is_empty() {
            return Ok(());
        }
        let rows: Vec<_> = list.iter().take(top).map(&mut row).collect();
        let more = list.len().saturating_sub(top);
        let tail = if more > 0 { format!(" ({more} more)") } else { String::new() };
        writeln!(streams.out, "\n{heading}{tail}")?;
        let headings = ["candidate", "verdict", "in", "margin", "speed", "what it takes"];
        writeln!(streams.out, "{}", render::table(&headings, &rows, &[2, 3, 4]))
    };
    print("Running again soonest", &ranking.soonest)?;
    print("Models to order", &ranking.to_order)?;
    print("Measure, or ask the responsible engineer", &ranking.open)?;
    print(
        "Near misses, failed by one gate",
        &ranking.near_misses[..ranking.near_misses.len().min(3)],
    )?;
    writeln!(streams.out)?;
    for caution in cautions_for(case) {
        writeln!(streams.out, "{}", render::wrap(&format!("- {caution}"), 2))?;
    }
    writeln!(
        streams.out,
        "\n{}",
        render::wrap(
            &format!(
                "{} candidates looked at; `sparemesh explain {} CANDIDATE` shows every gate.",
                ranking.looked_at,
                case.tag()
            ),
            0
        )
    )
}

/// Hours until it turns; days for an order.
fn until(case: &Case<'_>, r: &Ranked<'_>) -> String {
    match r.candidate.from {
        From::Catalogue(_) => format!("{:.0} d", r.candidate.lead_days(case.policy)),
        _ => format!("{:.0} h", r.hours),
    }
}

/// What a candidate takes or lacks, in a few words.
fn reason(r: &Ranked<'_>) -> String {
    if let Some(why) = &r.not_available {
        return format!("not available: {why}");
    }
    let of = |outcome| r.assessed.gates.iter().filter(move |g| g.outcome == outcome);
    match r.assessed.verdict {
        Verdict::No => of(GateOutcome::Fail)
            .map(|g| {
                format!("{}: {}", g.gate.word(), g.note.split([',', ';']).next().unwrap_or(""))
            })
            .next()
            .or(r.assessed.swap.clone())
            .unwrap_or_default(),
        Verdict::Measure => {
            let mends = of(GateOutcome::Mend).flat_map(|g| g.work.iter().map(|w| w.kind.words()));
            let mends = once_each(mends);
            std::iter::once(measure_line(r)).chain(mends).collect::<Vec<_>>().join("; ")
        }
        Verdict::Refer => of(GateOutcome::Refer)
            .map(|g| {
                format!("{}: {}", g.gate.word(), g.note.split(';').next_back().unwrap_or("").trim())
            })
            .chain(r.assessed.limits_in_words())
            .collect::<Vec<_>>()
            .join("; "),
        Verdict::StopGap => r.assessed.limits_in_words().join("; "),
        Verdict::Adapt => {
            let kinds = of(GateOutcome::Mend).flat_map(|g| g.work.iter().map(|w| w.kind.words()));
            once_each(kinds).join(", ")
        }
        Verdict::DropIn => "as it is".into(),
    }
}

fn as_json(case: &Case<'_>, ranking: &Ranking<'_>, top: usize) -> Json {
    let lists = [
        ("soonest", &ranking.soonest),
        ("to-order", &ranking.to_order),
        ("open", &ranking.open),
        ("near-miss", &ranking.near_misses),
    ];
    let candidates: Vec<Json> = lists
        .into_iter()
        .flat_map(|(list, entries)| entries.iter().take(top).map(move |r| (list, r)))
        .map(|(list, r)| {
            let mut json = candidate_json(r);
            json["list"] = json!(list);
            json
        })
        .collect();
    let mut cautions: Vec<&str> = first_line(case).into_iter().collect();
    cautions.extend(cautions_for(case));
    json!({
        "tag": case.tag(),
        "holds_load": case.load.kind.word(),
        "candidates": candidates,
        "cautions": cautions,
    })
}
