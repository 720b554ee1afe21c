//! The week, and a flip's days as charts.

use eframe::egui::{Align2, Color32, Rect, RichText, Role, Sense, Ui, WidgetInfo, pos2, vec2};
use egui_plot::{GridMark, Line, MarkerShape, Plot, PlotPoints, Points};
use leverlane_core::drill::Day;
use leverlane_diary::FlipDay;

use super::heading_ui;
use crate::state::{DiaryPicture, State};
use crate::theme;
use crate::words::Words;

/// How high the week's bars are drawn.
const WEEK: f32 = 96.0;
/// How high a chart is drawn.
const CHART: f32 = 140.0;

/// Draws the last seven days: how long, and how much of it clean.
pub fn week_ui(state: &State, picture: &DiaryPicture, ui: &mut Ui) {
    let words = state.words();
    heading_ui(ui, &words.text("diary-week"), &words.text("diary-week-says"));
    let minutes = |seconds: f64| seconds / 60.0;
    let longest = picture.week.iter().map(|day| minutes(day.practised.get())).fold(10.0, f64::max);
    let sum = |count: fn(&leverlane_diary::DayTotal) -> u32| picture.week.iter().map(count).sum::<u32>();
    let together: f64 = picture.week.iter().map(|day| minutes(day.practised.get())).sum();
    let spoken = words.with(
        "diary-week-spoken",
        [
            ("minutes", together.round().into()),
            ("passes", sum(|day| day.passes).into()),
            ("clean", sum(|day| day.clean).into()),
        ],
    );
    let width = ui.available_width().min(560.0);
    let (rect, response) = ui.allocate_exact_size(vec2(width, WEEK + 24.0), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &spoken));
    let palette = theme::palette(ui);
    let step = width / 7.0;
    for (place, day) in picture.week.iter().enumerate() {
        let left = rect.left() + step * place as f32;
        let floor = rect.top() + WEEK;
        let height = (minutes(day.practised.get()) / longest) as f32 * (WEEK - 22.0);
        let bar = |from: f32, to: f32| {
            Rect::from_min_max(pos2(left + step * 0.2, floor - to), pos2(left + step * 0.8, floor - from))
        };
        let clean = if day.judged > 0 { day.clean as f32 / day.judged as f32 } else { 0.0 };
        let painter = ui.painter();
        painter.rect_filled(bar(0.0, height), 2.0, palette.line);
        painter.rect_filled(bar(0.0, height * clean), 2.0, palette.accent);
        let centre = left + step * 0.5;
        if day.passes > 0 {
            let figure = format!("{:.0}", minutes(day.practised.get()).max(1.0));
            let at = pos2(centre, floor - height - 2.0);
            painter.text(at, Align2::CENTER_BOTTOM, figure, theme::strong(16.0), palette.ink);
        }
        let at = pos2(centre, floor + 3.0);
        let name = date(day.day);
        painter.text(at, Align2::CENTER_TOP, name, theme::text(15.0), palette.muted);
    }
}

/// Draws the chosen flip's charts.
pub fn flip_ui(state: &State, picture: &DiaryPicture, ui: &mut Ui) {
    let words = state.words();
    let Some(flip) = picture.flips.iter().find(|flip| Some(flip.flip.id) == picture.chosen) else { return };
    ui.label(RichText::new(&flip.flip.words).font(theme::display(28.0)));
    let palette = theme::palette(ui);
    let days = &picture.days;
    let series = |value: fn(&FlipDay) -> Option<f64>| -> Vec<[f64; 2]> {
        days.iter().filter_map(|day| Some([f64::from(day.practice.day.get()), value(day)?])).collect()
    };
    heading_ui(ui, &words.text("diary-tempo"), &words.text("diary-tempo-says"));
    let (both, part) = (series(|day| day.held_both), series(|day| day.held_part));
    chart_ui(
        words,
        "tempo",
        &[(both, MarkerShape::Circle, palette.accent), (part, MarkerShape::Diamond, palette.flip)],
        ui,
    );
    ui.add_space(theme::NEAR);
    let share = series(|day| (day.judged > 0).then(|| f64::from(day.clean) / f64::from(day.judged) * 100.0));
    let spread = series(|day| day.spread.map(|spread| spread.get() * 1000.0));
    let hesitation = series(|day| day.hesitation_of_beat.map(|share| share * 100.0));
    ui.columns(2, |columns| {
        heading_ui(&mut columns[0], &words.text("diary-share"), &words.text("diary-share-says"));
        chart_ui(words, "share", &[(share, MarkerShape::Circle, palette.accent)], &mut columns[0]);
        if !spread.is_empty() || !hesitation.is_empty() {
            heading_ui(&mut columns[1], &words.text("diary-steadiness"), &words.text("diary-steadiness-says"));
            let circle = (spread, MarkerShape::Circle, palette.accent);
            chart_ui(words, "steadiness", &[circle, (hesitation, MarkerShape::Diamond, palette.flip)], &mut columns[1]);
        }
    });
}

type Series = (Vec<[f64; 2]>, MarkerShape, Color32);

/// Points joined by lines, one series filled, the next hollow; days along the foot.
fn chart_ui(words: Words, name: &str, series: &[Series], ui: &mut Ui) {
    let all = series.iter().flat_map(|(points, ..)| points);
    let (first, last) =
        all.fold((f64::INFINITY, f64::NEG_INFINITY), |(first, last), point| (point[0].min(first), point[0].max(last)));
    if !first.is_finite() {
        return;
    }
    let highest = series.iter().flat_map(|(points, ..)| points).fold(0.0, |highest: f64, point| point[1].max(highest));
    Plot::new(name)
        .height(CHART)
        .allow_drag(false)
        .allow_scroll(false)
        .allow_zoom(false)
        .allow_boxed_zoom(false)
        .show_x(false)
        .show_y(false)
        .show_grid([false, true])
        .y_grid_spacer(move |_| marks(highest))
        .include_x(first - 1.0)
        .include_x(last.max(first + 6.0) + 1.0)
        .include_y(0.0)
        .include_y(marks(highest).last().map_or(highest, |mark| mark.value))
        .y_axis_formatter(|mark, _| words.with_decimals(&((mark.value * 100.0).round() / 100.0).to_string()))
        .x_axis_formatter(|mark, _| {
            if mark.value.fract().abs() < 1e-6 { date(Day::new(mark.value.round() as i32)) } else { String::new() }
        })
        .show(ui, |plot| {
            for (place, (points, shape, ink)) in series.iter().enumerate() {
                plot.line(
                    Line::new(format!("{name} {place}"), PlotPoints::from(points.clone())).color(*ink).width(1.5),
                );
                let marks = Points::new(format!("{name} {place} days"), PlotPoints::from(points.clone()));
                plot.points(marks.color(*ink).shape(*shape).radius(4.5).filled(place == 0));
            }
        });
}

/// Lines at round values, some four of them, the last one at or above the highest point.
fn marks(highest: f64) -> Vec<GridMark> {
    let rough = (highest / 4.0).max(1e-3);
    let power = 10.0_f64.powf(rough.log10().floor());
    let step =
        [1.0, 2.0, 2.5, 5.0, 10.0].map(|part| part * power).into_iter().find(|step| *step >= rough).unwrap_or(rough);
    let last = (highest / step).ceil().clamp(1.0, 4.0) as u32;
    (0..=last).map(|line| GridMark { value: step * f64::from(line), step_size: step }).collect()
}

/// A day as day and month, 3.12.
fn date(day: Day) -> String {
    // Days to the civil calendar (Hinnant, "chrono-Compatible Low-Level Date Algorithms", from memory).
    let days = i64::from(day.get()) + 719_468;
    let of_era = days.rem_euclid(146_097);
    let year_of_era = (of_era - of_era / 1_460 + of_era / 36_524 - of_era / 146_096) / 365;
    let of_year = of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let month = (5 * of_year + 2) / 153;
    let of_month = of_year - (153 * month + 2) / 5 + 1;
    let month = if month < 10 { month + 3 } else { month - 9 };
    format!("{of_month}.{month}.")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Arithmetic: a quarter of 72 is 18, the next round value 20; of 96 it is 24, so 25; of 15 it is 3.75, so 5.
    #[test]
    fn lines_stand_at_round_values() {
        let first = |highest| marks(highest)[1].value;
        assert_eq!([72.0, 96.0, 15.0, 0.9].map(first), [20.0, 25.0, 5.0, 0.25]);
        let last = |highest| marks(highest).last().map(|mark| mark.value);
        assert_eq!([72.0, 46.0, 60.0, 15.0].map(last), [80.0, 60.0, 60.0, 15.0].map(Some));
    }

    /// From a calendar: day 0 is 1 January 1970; 29 February 2000 is day 11,016; 3 December 2026 day 20,790.
    #[test]
    fn days_have_their_dates() {
        assert_eq!([0, 11_016, 11_017, 20_790].map(|day| date(Day::new(day))), ["1.1.", "29.2.", "1.3.", "3.12."]);
    }
}
