//! The lessons: every number they state is what the model and, where there is
//! one, the closed form says.

use std::collections::BTreeSet;

use ribwright::advice::Costs;
use ribwright::job::Unit;
use ribwright::joint::Joint;
use ribwright::practice::lesson::{Answer, Choice, Grade, Lesson, Refused, Topic};
use ribwright::practice::rib::{ExactPose, Wood};
use ribwright::practice::{Practice, Recipe, Strategy};
use ribwright::show::{answer_text, lesson_page, lesson_text};

fn lesson(topic: Topic, seed: u64) -> Lesson {
    Lesson::new(topic, seed).expect("seated")
}

fn answers(lesson: &Lesson) -> Vec<Answer> {
    lesson.tries().iter().map(|c| lesson.answer(c).expect("one of its own choices")).collect()
}

fn mm(value: f64) -> String {
    format!("{value:.2} mm")
}

/// Every topic but the one that plays on the bench, which takes its time.
const QUICK: [Topic; 4] = [Topic::Lever, Topic::Slices, Topic::BothEdges, Topic::Soles];

#[test]
fn the_idea_has_less_than_a_hundred_words_and_the_question_asks() {
    for topic in Topic::ALL {
        for seed in 0..40 {
            let lesson = lesson(topic, seed);
            let count = lesson.idea.split_whitespace().count();
            assert!((40..100).contains(&count), "{topic:?} {seed}: {count} words");
            assert!(lesson.question.ends_with('?') && !lesson.stations.is_empty(), "{}", lesson.question);
        }
    }
}

#[test]
fn the_same_seed_is_the_same_lesson_and_another_seed_another_rib() {
    for topic in Topic::ALL {
        let text = |seed| serde_json::to_string(&lesson(topic, seed)).expect("JSON");
        assert_eq!(text(3), text(3));
        let edges: BTreeSet<String> = (0..12).map(|s| format!("{:?}", lesson(topic, s).rib.edge())).collect();
        assert_eq!(edges.len(), 12, "{topic:?}");
    }
    for topic in QUICK {
        assert_eq!(answers(&lesson(topic, 5)), answers(&lesson(topic, 5)));
    }
}

/// The rib lies as one that is seated on the exact mold, rotations exact, does.
#[test]
fn ribs_lie_as_on_the_exact_mold() {
    for topic in [Topic::Lever, Topic::Slices, Topic::BothEdges] {
        for seed in 0..6 {
            let lesson = lesson(topic, seed);
            for answer in answers(&lesson) {
                let edge = lesson.rib.edge().iter().zip(&answer.taken).map(|(e, t)| e - t).collect();
                let wood = Wood { edge, spring: vec![0.0; lesson.stations.len()] };
                let (_, exact) = lesson.rib.exact().seat(&wood, ExactPose::default());
                for (i, c) in exact.iter().enumerate() {
                    let off = (c.gap - answer.after.gap[i]).abs();
                    assert!(off < 0.03, "{topic:?} {seed}, {}, station {i}: gap off by {off}", answer.chosen);
                    let off = (c.lift - answer.after.lift[i]).abs();
                    assert!(
                        off < 0.03,
                        "{topic:?} {seed}, {}, station {i}: lift off by {off}",
                        answer.chosen
                    );
                }
            }
        }
    }
}

#[test]
fn wood_is_weighed_along_the_edge_and_the_least_closes_the_joint() {
    for topic in QUICK {
        for seed in 0..6 {
            let lesson = lesson(topic, seed);
            let arc = arcs(&lesson);
            for answer in answers(&lesson) {
                // A mean over the length of the edge, by trapezoids.
                let mean = |v: &[f64]| {
                    let pieces = arc.windows(2).zip(v.windows(2));
                    pieces.map(|(s, v)| (s[1] - s[0]) * (v[0] + v[1]) / 2.0).sum::<f64>() / arc[arc.len() - 1]
                };
                assert!((answer.wood - mean(&answer.taken)).abs() < 1e-9);
                assert!((answer.least_wood - mean(&answer.least)).abs() < 1e-9);
                assert!(answer.least.iter().all(|l| *l >= 0.0));
                let within = answer.after.widest_gap().1 <= lesson.aim.gap + 0.005
                    && lesson.aim.lift.is_none_or(|l| answer.after.highest_lift().1 <= l + 0.005);
                let said = matches!(answer.verdict, Grade::Well | Grade::Costly);
                assert_eq!(within, said, "{topic:?} {seed}: {}", answer.chosen);
            }
        }
    }
}

fn arcs(lesson: &Lesson) -> Vec<f64> {
    Joint::of(lesson.rib.job()).frames.iter().map(|f| f.arc).collect()
}

/// Whole shavings of the least wood do well on every rib, twice as much never does.
#[test]
fn what_is_right_does_well_and_what_is_wrong_does_not() {
    for seed in 0..30 {
        for topic in [Topic::Lever, Topic::BothEdges] {
            let [wrong, bearing, least, twice] = &answers(&lesson(topic, seed))[..] else { panic!("four") };
            let seen = [wrong, bearing, least, twice].map(|a| a.verdict);
            assert_eq!(seen[2], Grade::Well, "{topic:?} {seed}");
            assert_eq!(seen[0], Grade::Short, "{topic:?} {seed}");
            assert!(seen[1] != Grade::Well && seen[3] != Grade::Well, "{topic:?} {seed}: {seen:?}");
        }
        let seen: Vec<Grade> = answers(&lesson(Topic::Slices, seed)).iter().map(|a| a.verdict).collect();
        assert_eq!(seen[0], Grade::Costly, "slices {seed}: {seen:?}");
        assert_eq!(seen[3], Grade::Well, "slices {seed}: {seen:?}");
        assert!(seen[1..3].iter().all(|v| matches!(v, Grade::Short | Grade::Better)), "{seed}: {seen:?}");
    }
}

/// Similar triangles: a third of the way along, the arm is two thirds of the length.
#[test]
fn the_lever_states_the_lever_rule() {
    let idea = lesson(Topic::Lever, 0).idea;
    assert!(idea.contains(&format!("a bump of 0.20 mm opens {}", mm(0.2 / (2.0 / 3.0)))), "{idea}");
}

#[test]
fn the_lever_states_what_seating_the_rib_anew_gives() {
    for seed in 0..10 {
        let lesson = lesson(Topic::Lever, seed);
        let gap = lesson.before.widest_gap();
        assert!(lesson.question.contains(&format!("{} of daylight, at station {}", mm(gap.1), gap.0 + 1)));
        assert!((1..=3).contains(&lesson.before.bearings.len()), "{:?}", lesson.before.bearings);
        // Two shavings of 0.05 mm off a bearing are the tenth whose leverage is told.
        for &bearing in &lesson.before.bearings {
            let counts = (0..lesson.stations.len()).map(|i| if i == bearing { 2 } else { 0 }).collect();
            let answer = lesson.answer(&Choice::Shavings(counts)).expect("a choice");
            let closed = (0..lesson.stations.len()).filter(|i| *i != bearing);
            let closed = closed.map(|i| (i, lesson.before.gap[i] - answer.after.gap[i]));
            let most = closed.max_by(|a, b| a.1.total_cmp(&b.1)).expect("stations");
            let told = format!("off station {}, {} at {}", bearing + 1, mm(most.1), most.0 + 1);
            assert!(answer.why.contains(&told), "{told} in {}", answer.why);
        }
        // Wood off where there is daylight opens it by just that.
        let daylight = &answers(&lesson)[0];
        let grown = daylight.after.widest_gap().1 - gap.1;
        assert!((grown - 0.15).abs() < 1e-6, "{grown}");
        assert!(daylight.why.contains("No wood came off a bearing"), "{}", daylight.why);
    }
}

/// On a round bowl whose axis is the chord the outer line's normal leans by
/// b = 180 degrees / N from the joint plane, so that 1 mm of lift costs
/// 1 / sin b of slice: 4.81 mm at 15 ribs.
#[test]
fn the_price_of_a_mm_of_lift_is_one_over_the_sine() {
    assert!(lesson(Topic::Slices, 0).idea.contains("15 ribs 1 mm of lift costs 4.81 mm"));
    let mut bowls = BTreeSet::new();
    for seed in 0..14 {
        let idea = lesson(Topic::Slices, seed).idea;
        let (_, rest) = idea.split_once("on a bowl of ").expect("ribs");
        let (ribs, rest) = rest.split_once(" ribs 1 mm of lift costs ").expect("a price");
        let ribs: f64 = ribs.parse().expect("a number");
        let price: f64 = rest.split_once(" mm").expect("mm").0.parse().expect("a number");
        let closed = 1.0 / (std::f64::consts::PI / ribs).sin();
        assert!((price / closed - 1.0).abs() < 0.002, "{ribs} ribs: {price}, not {closed}");
        bowls.insert(ribs as usize);
    }
    assert!(bowls.len() >= 7, "{bowls:?}");
    // Along the rib it is the cosine of the bevel more: 4.84 mm at 15 ribs, bevel 6 degrees.
    let b = 12f64.to_radians();
    assert!((1.0 / b.sin() / 6f64.to_radians().cos() - 4.84).abs() < 0.005);
}

#[test]
fn the_slices_move_the_lift_as_the_model_says() {
    for seed in 0..10 {
        let lesson = lesson(Topic::Slices, seed);
        let [same, taper, rise, ends] = &answers(&lesson)[..] else { panic!("four ways") };
        let last = lesson.stations.len() - 1;
        for i in 0..=last {
            let before = lesson.before.lift[i];
            assert!(lesson.before.gap[i] < 0.002, "the joint is tight");
            assert!(same.after.lift[i] < 0.005, "A brings everything down");
            assert!((rise.after.lift[i] - before).abs() < 0.005, "C changes no lift: {seed} {i}");
            assert!(ends.after.lift[i] < 0.02, "A less C does the same as A");
        }
        assert!((taper.after.lift[0] - lesson.before.lift[0]).abs() < 0.02, "{:?}", taper.after.lift);
        assert!(taper.after.lift[last] < 0.2 * lesson.before.lift[last], "{:?}", taper.after.lift);
        // By the closed form: the slice at the highest rise times the sine is the lift there.
        let high = (0..=last).max_by(|&a, &b| rise.taken[a].total_cmp(&rise.taken[b])).expect("stations");
        let station = &lesson.rib.job().stations[high];
        let sine = station.outer_bevel.expect("measured").sin_cos().0;
        let lift = same.taken[high] * station.bevel.sin_cos().1 * sine;
        assert!((lift - lesson.before.lift[high]).abs() < 0.01, "{lift}");
        assert!(ends.taken[high].abs() < 1e-9, "nothing off the highest place");
        assert!(ends.wood < 0.6 * same.wood);
        let least = same.least.iter().copied().fold(f64::MAX, f64::min);
        assert!(least < 0.005, "least wood leaves a station untouched");
        for (beside, answer) in same.beside.iter().zip([same, taper, rise, ends]) {
            assert_eq!((beside.wood, beside.lift), (answer.wood, answer.after.highest_lift().1));
        }
    }
}

#[test]
fn watching_the_joint_alone_leaves_the_lift() {
    for seed in 0..10 {
        let lesson = lesson(Topic::BothEdges, seed);
        assert!(lesson.before.widest_gap().1 < 0.1, "tight at the joint");
        let lift = lesson.before.highest_lift();
        assert!(lift.1 > 0.15, "proud on the other side");
        assert!(lesson.question.contains(&format!("lifts {} at station {}", mm(lift.1), lift.0 + 1)));
        let nothing = &answers(&lesson)[0];
        assert_eq!(nothing.wood, 0.0);
        assert!(nothing.why.contains("the next rib would start from there"), "{}", nothing.why);
        let [_, alone, both] = &nothing.beside[..] else { panic!("three ways") };
        assert!(alone.gap < 0.005 && alone.lift > 0.15, "{alone:?}");
        assert!(both.gap < 0.005 && both.lift <= 0.15, "{both:?}");
        assert!(alone.wood < both.wood);
        // The price, by the normal at the station it is told for.
        let (_, rest) = lesson.idea.split_once("on this bowl ").expect("a price");
        let (price, rest) = rest.split_once(" mm for 1 mm of lift at station ").expect("a station");
        let at: usize = rest.split_once('.').expect("a sentence").0.parse().expect("a number");
        let sine = lesson.rib.job().stations[at - 1].outer_bevel.expect("measured").sin_cos().0;
        assert!((price.parse::<f64>().expect("a number") * sine - 1.0).abs() < 0.005);
    }
}

#[test]
fn the_long_sole_takes_the_crests_and_the_short_one_follows() {
    for seed in 0..8 {
        let lesson = lesson(Topic::Soles, seed);
        let three = answers(&lesson);
        let (long, short) = (&three[0], &three[1]);
        let edge = lesson.rib.edge();
        let by = |a: &usize, b: &usize| edge[*a].total_cmp(&edge[*b]);
        let crest = (0..edge.len()).max_by(by).expect("stations");
        let hollow = (0..edge.len()).min_by(by).expect("stations");
        // Three pushes of 0.05 mm: off a crest just that, and the long sole bridges the hollow.
        assert!((long.taken[crest] - 0.15).abs() < 1e-9 && (short.taken[crest] - 0.15).abs() < 1e-9);
        assert_eq!(long.taken[hollow], 0.0);
        assert!(short.taken[hollow] > 0.02, "{seed}: {}", short.taken[hollow]);
        assert!(long.wood < 0.6 * short.wood && long.after.widest_gap().1 < short.after.widest_gap().1);
        // What is guided on a curved edge: 2 sqrt(2 r W), by the exact curvature of the joint line.
        let known = lesson.rib.exact();
        let bend = known.at_stations(&known.curvature);
        let rises: Vec<f64> = lesson.rib.job().stations.iter().filter_map(|s| s.rise).collect();
        let high = (0..rises.len()).max_by(|&a, &b| rises[a].total_cmp(&rises[b])).expect("stations");
        let guided = (2.0 * (2.0 * 70.0 / bend[high]).sqrt()).min(600.0);
        let (_, rest) = lesson.idea.split_once("guided: here ").expect("a length");
        let told: f64 =
            rest.split_once(" of the long plane's 600 mm").expect("mm").0.parse().expect("a number");
        assert!((told / guided - 1.0).abs() < 0.02, "{seed}: {told}, not {guided}");
        // The edge's heights as drawn are the blank's, less what was taken.
        let edges = long.edges.as_ref().expect("shown");
        for i in 0..edge.len() {
            assert!((edges.before[i] - edges.after[i] - long.taken[i]).abs() < 1e-12);
        }
    }
}

#[test]
fn the_bench_decides_the_noise_lesson() {
    let lesson = lesson(Topic::Noise, 2);
    let strategies = vec![Strategy::Levelling, Strategy::OneRound, Strategy::Advice];
    let recipe = Recipe { plain: true, ..Recipe::default() };
    let played = Practice { joints: 10, seed: 9, recipe, strategies, costs: Costs::default() }.play(&|| ());
    for (one, answer) in answers(&lesson).iter().enumerate() {
        let run = &played[one].runs[0].outcome;
        let said = format!("took {} rounds and {} strokes", run.rounds, run.strokes);
        assert!(answer.happened.contains(&said), "{said} in {}", answer.happened);
        assert_eq!(answer.taken, run.taken);
        for (beside, played) in answer.beside.iter().zip(&played) {
            let s = played.summary();
            let figures = (Some(s.rounds), s.wood, s.gap.mean, s.lift.mean);
            assert_eq!((beside.rounds, beside.wood, beside.gap, beside.lift), figures);
        }
        let s = played[2].summary();
        let said = format!("{:.1} rounds, {} of wood, widest gap {}", s.rounds, mm(s.wood), mm(s.gap.mean));
        assert!(answer.why.contains(&said), "{said} in {}", answer.why);
    }
}

/// All rounds together against one at a time, over ribs of several seeds.
#[test]
fn following_each_round_costs_more_than_all_rounds_together() {
    // Ten ribs scatter by more than the two rules are apart, so these are summed.
    let mut wood = [0.0; 2];
    for seed in 0..4 {
        let answer = lesson(Topic::Noise, seed).answer(&Choice::One(0)).expect("a way");
        let [level, alone, together] = &answer.beside[..] else { panic!("three rules") };
        assert!(level.wood > 3.0 * together.wood && level.gap > together.gap, "{seed}");
        wood[0] += alone.wood;
        wood[1] += together.wood;
        assert!(matches!(answer.verdict, Grade::Short | Grade::Costly), "{seed}");
        assert!(level.chosen && !together.chosen);
    }
    assert!(wood[0] > 1.05 * wood[1], "{wood:?}");
}

/// The readings scatter by the stated error about the true gap, where it is
/// far enough from zero; 3 % is what their number allows.
#[test]
fn readings_scatter_as_stated() {
    let mut off = Vec::new();
    for seed in 0..400 {
        let lesson = lesson(Topic::Noise, seed);
        assert_eq!(lesson.readings.len(), 3);
        for round in &lesson.readings {
            let far = round.iter().zip(&lesson.before.gap).filter(|(_, g)| **g > 0.4);
            off.extend(far.map(|(r, g)| r - g));
        }
    }
    let sd = (off.iter().map(|o| o * o).sum::<f64>() / off.len() as f64).sqrt();
    assert!(off.len() > 600 && (sd - 0.1).abs() < 0.01, "{sd} over {}", off.len());
}

#[test]
fn a_choice_that_is_none_is_refused_with_its_reason() {
    let lever = lesson(Topic::Lever, 0);
    let n = lever.stations.len();
    let refused = |lesson: &Lesson, choice| lesson.answer(&choice).expect_err("refused");
    let short = Choice::Shavings(vec![0; n - 1]);
    assert_eq!(refused(&lever, short), Refused::Stations { given: n - 1, stations: n });
    assert!(matches!(refused(&lever, Choice::Shavings(vec![99; n])), Refused::TooMany { given: 99, .. }));
    assert_eq!(refused(&lever, Choice::One(0)), Refused::OtherKind);
    let slices = lesson(Topic::Slices, 0);
    assert_eq!(refused(&slices, Choice::One(4)), Refused::NoSuch { given: 5, there: 4 });
    let soles = lesson(Topic::Soles, 0);
    assert!(matches!(refused(&soles, Choice::Pushes { plane: 0, count: 21 }), Refused::TooMany { .. }));
    assert!(matches!(refused(&soles, Choice::Pushes { plane: 2, count: 1 }), Refused::NoSuch { .. }));
    for topic in Topic::ALL {
        assert_eq!(Topic::named(topic.name()), Some(topic));
    }
}

/// Told in inches, a lesson names no millimetre, and its lengths are the same: one inch is
/// 25.4 mm exactly (the international yard of 1959).
#[test]
fn in_inches_every_sentence_is_in_inches() {
    for topic in Topic::ALL {
        let [mm, inch] = [Unit::Mm, Unit::Inch].map(|u| Lesson::told_in(u, topic, 3).expect("seated"));
        assert_eq!((&mm.before, &mm.readings), (&inch.before, &inch.readings), "what is known stays in mm");
        for choice in inch.tries() {
            let said = |lesson: &Lesson| {
                let answer = lesson.answer(&choice).expect("taken");
                let mut text = Vec::new();
                lesson_text(lesson, &mut text).expect("written");
                answer_text(lesson, &answer, &mut text).expect("written");
                String::from_utf8(text).expect("UTF-8") + &lesson_page(lesson, &[answer])
            };
            let (mm, inch) = (said(&mm), said(&inch));
            assert!(!inch.contains("mm ") && !inch.contains(" mm"), "{}: {inch}", topic.name());
            assert!(!mm.contains("inches"), "{}: {mm}", topic.name());
        }
    }
    let lesson = Lesson::told_in(Unit::Inch, Topic::Lever, 0).expect("seated");
    // 0.20 and 0.30 mm are 0.0079 and 0.0118 in.
    assert!(lesson.idea.contains("a bump of 0.008 in opens 0.012 in"), "{}", lesson.idea);
}
