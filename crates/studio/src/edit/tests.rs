//! What each edit does to a plan.

use super::*;
use plan::{Canvas, DetailBox, Division, PhotoSize, Place, PrinterCorrection, Reference, Side, Unit};

fn portrait() -> Plan {
    let mut plan = Plan::new(Canvas::nominal(Length::inches(12.0), Length::inches(16.0)), Unit::Inch);
    plan.reference = Some(Reference::fitted(PhotoSize { width: 3000, height: 4000 }));
    plan
}

fn read(json: &str) -> Edit {
    serde_json::from_str(json).unwrap()
}

fn make(plan: &Plan, json: &str) -> Plan {
    edited(plan, &read(json), PrinterCorrection::NONE).unwrap().0
}

fn near(a: Length, b: Length) -> bool {
    (a - b).abs() < Length::mm(1e-6)
}

fn with_head() -> Plan {
    make(&portrait(), r#"{"reference":{"do":"mark-head","crown":[152.4,50.8],"chin":[152.4,203.2]}}"#)
}

#[test]
fn a_canvas_is_given_a_size_as_typed() {
    let plan = make(&portrait(), r#"{"canvas":{"do":"size","width":"30.5 cm","height":"40.6 cm"}}"#);
    assert_eq!(plan.canvas.nominal.width, Length::mm(305.0));
    let plan = make(&plan, r#"{"canvas":{"do":"standard","name":"15 Figure"}}"#);
    assert_eq!(plan.canvas.nominal.height, Length::mm(650.0));
    let plan = make(&plan, r#"{"canvas":{"do":"turn"}}"#);
    assert_eq!(plan.canvas.nominal.width, Length::mm(650.0));
}

#[test]
fn both_sides_typed_into_one_field_are_both_sides() {
    let size = |width: &str, height: &str| {
        let edit = Edit::Canvas(CanvasEdit::Size { width: width.to_owned(), height: height.to_owned() });
        edited(&portrait(), &edit, PrinterCorrection::NONE).unwrap().0.canvas.nominal
    };
    let (forty, fifty) = (Length::cm(40.0), Length::cm(50.0));
    for typed in ["40x50 cm", "40 x 50 cm", "40×50cm", "400 x 500 mm", "40cm by 50cm"] {
        for canvas in [size(typed, "16 in"), size("12 in", typed)] {
            assert!(near(canvas.width, forty) && near(canvas.height, fifty), "{typed}");
        }
        let (width, height) = plan::parse_pair(typed, None).unwrap();
        assert_eq!(size(typed, "16 in"), plan::Size { width: width.length, height: height.length });
    }
    let alone = size("16x20", "16 in");
    assert_eq!(
        (alone.width, alone.height),
        (Length::inches(16.0), Length::inches(20.0)),
        "in the plan's unit"
    );
}

#[test]
fn a_head_moved_off_the_canvas_is_told_and_its_line_is_to_be_looked_at() {
    let away = make(&with_head(), r#"{"reference":{"do":"space","side":"top","space":"-500 cm"}}"#);
    let view = crate::view::View::of(&away, sheets::FURNITURE, PrinterCorrection::NONE);
    let placing = view.notebook.iter().find(|line| line.key == crate::view::StepKey::Placing).unwrap();
    assert_eq!(placing.state, crate::view::LineState::Look);
    assert_eq!(placing.sentence, "The head lies off the canvas");
    let head = |view: &crate::view::View| view.reference.as_ref().unwrap().head.clone().unwrap();
    assert_eq!(head(&view).off_canvas, Some("The head lies off the canvas."));
    assert_eq!(
        head(&crate::view::View::of(&with_head(), sheets::FURNITURE, PrinterCorrection::NONE)).off_canvas,
        None
    );
}

#[test]
fn the_paper_follows_the_unit_until_the_painter_has_chosen_one() {
    let paper = |plan: &Plan| plan.printing.paper;
    let metric = make(&portrait(), r#"{"canvas":{"do":"unit","unit":"centimetre"}}"#);
    assert_eq!((paper(&portrait()), paper(&metric)), (plan::Paper::Letter, plan::Paper::A4));
    let back = make(&metric, r#"{"canvas":{"do":"unit","unit":"inch"}}"#);
    assert_eq!(paper(&back), plan::Paper::Letter);
    let chosen = make(&portrait(), r#"{"print":{"do":"paper","paper":"tabloid"}}"#);
    let chosen = make(&chosen, r#"{"canvas":{"do":"unit","unit":"millimetre"}}"#);
    assert_eq!(paper(&chosen), plan::Paper::Tabloid);
}

#[test]
fn what_cannot_be_is_refused_and_told() {
    let refused =
        |json: &str| edited(&portrait(), &read(json), PrinterCorrection::NONE).unwrap_err().to_string();
    assert!(
        refused(r#"{"canvas":{"do":"size","width":"wide","height":"16 in"}}"#)
            .contains("The width “wide” is not a length")
    );
    for (json, told) in [
        (r#"{"canvas":{"do":"size","width":" ","height":"16 in"}}"#, "The width is empty."),
        (r#"{"canvas":{"do":"size","width":"12 in","height":""}}"#, "The height is empty."),
        (r#"{"print":{"do":"lap","lap":""}}"#, "The length is empty."),
        (
            r#"{"detail":{"do":"place","at":0,"left":"1","top":"1","width":"","height":"3 in"}}"#,
            "The width is empty.",
        ),
        (
            r#"{"detail":{"do":"place","at":0,"left":"1","top":"1","width":"abc in","height":"3 in"}}"#,
            "The width “abc in” is not a length.",
        ),
        (r#"{"reference":{"do":"turn","degrees":400}}"#, "A turn of 400° is more than once around."),
    ] {
        assert!(refused(json).starts_with(told), "{json}: {}", refused(json));
    }
    assert!(refused(r#"{"grid":{"do":"parts","columns":0,"rows":4}}"#).contains("out of range"));
    assert!(refused(r#"{"reference":{"do":"head-height","height":"8in"}}"#).contains("not marked yet"));
    assert!(refused(r#"{"detail":{"do":"remove","at":3}}"#).contains("no longer there"));
    assert!(serde_json::from_str::<Edit>(r#"{"grid":{"do":"explode"}}"#).is_err());
}

#[test]
fn marking_the_head_leaves_the_photo_where_it_lies_and_giving_it_a_height_keeps_its_middle() {
    let marked = with_head();
    assert_eq!(marked.placing().unwrap().pixel(), portrait().placing().unwrap().pixel());
    assert!(near(marked.head().unwrap().height(), Length::inches(6.0)));
    let larger = make(&marked, r#"{"reference":{"do":"head-height","height":"8"}}"#);
    assert!(near(larger.head().unwrap().height(), Length::inches(8.0)));
    assert!(near(larger.head().unwrap().middle().y, marked.head().unwrap().middle().y));
}

#[test]
fn a_head_is_set_off_from_each_side_by_the_space_that_is_typed() {
    for (side, name) in
        [(Side::Top, "top"), (Side::Right, "right"), (Side::Bottom, "bottom"), (Side::Left, "left")]
    {
        for plan in [with_head(), portrait()] {
            let json = format!(r#"{{"reference":{{"do":"space","side":"{name}","space":"2 1/4"}}}}"#);
            let moved = make(&plan, &json);
            let edge = moved.head().map_or_else(
                || {
                    moved.placing().unwrap().photo_outline(moved.reference.unwrap().size()).corners
                        [if matches!(side, Side::Top | Side::Left) { 0 } else { 2 }]
                },
                |head| head.edge(side),
            );
            assert!(
                near(moved.canvas.outline().distance_from_side(side, edge), Length::inches(2.25)),
                "{name}"
            );
        }
    }
}

#[test]
fn a_head_keeps_its_height_while_it_is_moved_and_turned() {
    let plan = make(&with_head(), r#"{"reference":{"do":"head-height","height":"8in"}}"#);
    let moved = make(&plan, r#"{"reference":{"do":"move","right":10,"down":-5}}"#);
    assert!(near(moved.head().unwrap().height(), Length::inches(8.0)));
    let middle = moved.head().unwrap().middle();
    let turned = make(&moved, r#"{"reference":{"do":"quarter-turn","clockwise":true}}"#);
    assert!(turned.head().unwrap().middle().distance_to(middle) < Length::mm(1e-6));
    assert!(near(turned.head().unwrap().height(), Length::inches(8.0)));
}

#[test]
fn the_detail_boxes_go_where_the_photo_goes_on_the_head_and_elsewhere() {
    let plan = make(&with_head(), r#"{"detail":{"do":"add","corner":[110,60],"size":[80,120]}}"#);
    let plan = make(&plan, r#"{"detail":{"do":"add","corner":[120,230],"size":[60,60]}}"#);
    let share = |plan: &Plan| {
        let head = plan.head().unwrap();
        let of_head = |detail: &DetailBox| {
            let (rect, middle) = (detail.rect, detail.rect.centre());
            [middle.x - head.crown.x, middle.y - head.crown.y, rect.width, rect.height]
                .map(|length| length / head.height())
        };
        plan.details.iter().flat_map(of_head).collect::<Vec<_>>()
    };
    for json in [
        r#"{"reference":{"do":"move","right":10,"down":-5}}"#,
        r#"{"reference":{"do":"head-height","height":"5 1/2"}}"#,
        r#"{"reference":{"do":"space","side":"left","space":"5"}}"#,
        r#"{"reference":{"do":"scale","factor":1.1,"about":[40,60]}}"#,
        r#"{"reference":{"do":"fill"}}"#,
    ] {
        let moved = make(&plan, json);
        for (after, before) in share(&moved).into_iter().zip(share(&plan)) {
            assert!((after - before).abs() < 1e-9, "{json}");
        }
    }
    let marked = make(&plan, r#"{"reference":{"do":"mark-head","crown":[152.4,40],"chin":[152.4,203.2]}}"#);
    assert_eq!(marked.details, plan.details);
}

#[test]
fn scaling_keeps_the_point_under_the_finger() {
    let plan = portrait();
    let at = on_canvas(Xy([40.0, 60.0]));
    let under = plan.placing().unwrap().to_photo(at);
    let larger = make(&plan, r#"{"reference":{"do":"scale","factor":1.3,"about":[40,60]}}"#);
    assert!(larger.placing().unwrap().to_canvas(under).distance_to(at) < Length::mm(1e-6));
}

#[test]
fn a_line_that_ought_to_be_plumb_becomes_plumb() {
    let plan = portrait();
    let (from, to) = (Xy([100.0, 50.0]), Xy([112.0, 250.0]));
    let ends = [from, to].map(|at| plan.placing().unwrap().to_photo(on_canvas(at)));
    let json = r#"{"reference":{"do":"straighten","from":[100,50],"to":[112,250],"level":false}}"#;
    let straight = make(&plan, json).placing().unwrap();
    let [top, bottom] = ends.map(|at| straight.to_canvas(at));
    assert!(near(top.x, bottom.x));
}

#[test]
fn squaring_up_takes_a_new_picture_and_forgets_the_head() {
    let json = r#"{"reference":{"do":"square-up","corners":[[100,100],[2900,200],[2800,3900],[150,3800]],"print_size":"8x10in"}}"#;
    let plan = make(&with_head(), json);
    let size = plan.reference.unwrap().size();
    assert!((f64::from(size.width) / f64::from(size.height) - 0.8).abs() < 0.001);
    assert!(plan.head().is_none());
}

#[test]
fn detail_boxes_are_added_named_moved_divided_and_taken_away() {
    let mut plan = make(&portrait(), r#"{"detail":{"do":"add","corner":[50,50],"size":[100,120]}}"#);
    plan = make(&plan, r#"{"detail":{"do":"add","corner":[60,60],"size":[30,30]}}"#);
    plan = make(&plan, r#"{"detail":{"do":"name","at":0,"name":"Head"}}"#);
    plan = make(
        &plan,
        r#"{"detail":{"do":"place","at":1,"left":"2","top":"3 1/2","width":"4","height":"4 in"}}"#,
    );
    plan = make(&plan, r#"{"detail":{"do":"divide","at":1,"columns":6,"rows":8,"diagonals":true}}"#);
    assert_eq!((plan.details[0].name.as_str(), plan.details[1].name.as_str()), ("Head", "Detail 2"));
    assert!(near(plan.details[1].rect.origin.y, Length::inches(3.5)));
    assert_eq!(plan.details[1].grid.division, Division::Parts { columns: 6, rows: 8 });
    plan = make(&plan, r#"{"detail":{"do":"remove","at":0}}"#);
    assert_eq!(plan.details.len(), 1);
}

#[test]
fn a_fitted_photo_goes_on_fitting_when_it_is_turned() {
    let turned = make(&portrait(), r#"{"reference":{"do":"turn","degrees":7.5}}"#);
    assert_eq!(turned.reference.unwrap().place, Place::Fit);
    assert!(turned.placing().unwrap().pixel() < portrait().placing().unwrap().pixel());
}

#[test]
fn a_seam_goes_where_it_is_dragged_and_the_others_stay() {
    let plan = make(&portrait(), r#"{"canvas":{"do":"size","width":"16 in","height":"20 in"}}"#);
    let seams = |plan: &Plan| {
        let stock = plan.printing.stock(sheets::FURNITURE, PrinterCorrection::NONE);
        let layout = plan.sheet_layout(&stock, plan.printing.lap).unwrap();
        (layout.upright_seams, layout.level_seams)
    };
    let before = seams(&plan);
    assert!(!before.0.is_empty() && !before.1.is_empty(), "{before:?}");
    let at = before.1[0].to_mm() + 4.0;
    let moved = make(&plan, &format!(r#"{{"print":{{"do":"seam","direction":"level","at":0,"to":{at}}}}}"#));
    let after = seams(&moved);
    assert!(near(after.1[0], Length::mm(at)), "{after:?}");
    assert_eq!(after.0, before.0);
    // A canvas for which they are no seams lets them run by themselves again.
    let larger = make(&moved, r#"{"canvas":{"do":"size","width":"40 in","height":"50 in"}}"#);
    assert_eq!(larger.printing.seams, plan::Seams::BesideHead);
    let by_themselves = make(&moved, r#"{"print":{"do":"seams","by":"fewest"}}"#);
    assert_eq!(seams(&by_themselves), before);
}

#[test]
fn the_look_of_lines_is_kept_and_one_that_cannot_be_is_refused() {
    let plan = make(&portrait(), r#"{"print":{"do":"line-look","strength":2.5,"tone":"light"}}"#);
    assert_eq!(plan.printing.line_look, plan::LineLook { strength: 2.5, tone: plan::LineTone::Light });
    let edit = read(r#"{"print":{"do":"line-look","strength":9,"tone":"dark"}}"#);
    assert_eq!(
        edited(&plan, &edit, PrinterCorrection::NONE).unwrap_err().to_string(),
        "Lines are from 1 to 4 times as strong as the finest."
    );
}

#[test]
fn a_bare_number_means_the_unit_in_which_readings_are_shown() {
    let mut plan = portrait();
    plan.unit = Unit::Millimetre;
    plan.ruler = plan::Ruler::usual(Unit::Millimetre);
    let plan = make(&plan, r#"{"detail":{"do":"add","corner":[50,60],"size":[100,100]}}"#);
    let place = r#"{"detail":{"do":"place","at":0,"left":"75","top":"60","width":"120","height":"100"}}"#;
    let rect = make(&plan, place).details[0].rect;
    assert_eq!((rect.origin.x, rect.width), (Length::mm(75.0), Length::mm(120.0)));
    assert_eq!(plan.ruler.read(rect.origin.x).to_string(), "75 mm");
}

#[test]
fn landmarks_and_measures_are_placed_where_they_are_seen_and_move_nothing() {
    let plan = with_head();
    let marked = make(&plan, r#"{"likeness":{"do":"landmark","name":"nose tip","at":[150,140]}}"#);
    let placing = marked.placing().unwrap();
    let nose = marked.landmark(&"nose tip".into()).unwrap();
    assert!(placing.to_canvas(nose).distance_to(plan::CanvasPoint::mm(150.0, 140.0)) < Length::mm(1e-6));
    assert_eq!(marked.placing(), plan.placing());
    let measured =
        make(&marked, r#"{"likeness":{"do":"measure","name":"Eye","from":[100,100],"to":[130,100]}}"#);
    let unit = make(&measured, r#"{"likeness":{"do":"unit-measure","name":"Eye"}}"#);
    assert_eq!(plan::measures(&unit)[0].in_units, Some(1.0));
    let refused = |json: &str| edited(&unit, &read(json), PrinterCorrection::NONE).unwrap_err().to_string();
    assert_eq!(
        refused(r#"{"likeness":{"do":"forget-landmark","name":"navel"}}"#),
        "“navel” is no longer there."
    );
    let on = make(
        &unit,
        r#"{"likeness":{"do":"measure","name":"Eye","from":[1,1],"to":[30,1],"from_landmark":"tip of the nose"}}"#,
    );
    assert!(plan::measures(&on)[0].from.distance_to(plan::CanvasPoint::mm(150.0, 140.0)) < Length::mm(1e-6));
    let renamed = make(&on, r#"{"likeness":{"do":"rename-measure","name":"Eye","to":" Nose "}}"#);
    assert_eq!(renamed.unit_measure.as_deref(), Some("Nose"));
    assert!(
        refused(r#"{"likeness":{"do":"rename-measure","name":"Nose","to":"Ear"}}"#)
            .contains("no longer there")
    );
    assert!(
        refused(r#"{"likeness":{"do":"measure","name":"A","from":[1,1],"to":[9,9],"to_landmark":"navel"}}"#)
            .contains("“navel” is no longer there")
    );
    let none = make(&unit, r#"{"likeness":{"do":"forget-measure","name":"Eye"}}"#);
    assert!(none.measures.is_empty() && none.unit_measure.is_none());
}
