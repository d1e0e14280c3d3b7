//! Formats of the workbook: one hue, dark on light, nothing said by colour alone.

use rust_xlsxwriter::{Color, Format, FormatAlign, FormatBorder, FormatUnderline};

/// Dark ink of headings and titles.
pub(super) const INK: Color = Color::RGB(0x002B_3A42);
/// Light ground of headings.
pub(super) const GROUND: Color = Color::RGB(0x00E4_E9E6);
/// The one hue of charts and bars.
pub(super) const HUE: Color = Color::RGB(0x004F_7A6B);
/// A lighter step of it.
pub(super) const HUE_LIGHT: Color = Color::RGB(0x00A9_C2B6);

pub(super) fn title() -> Format {
    Format::new().set_bold().set_font_size(18).set_font_color(INK)
}

pub(super) fn subtitle() -> Format {
    Format::new().set_italic().set_font_color(INK)
}

pub(super) fn section() -> Format {
    Format::new()
        .set_bold()
        .set_font_size(12)
        .set_font_color(INK)
        .set_border_bottom(FormatBorder::Thin)
}

pub(super) fn heading() -> Format {
    Format::new()
        .set_bold()
        .set_text_wrap()
        .set_align(FormatAlign::VerticalCenter)
        .set_indent(1)
        .set_background_color(GROUND)
        .set_font_color(INK)
        .set_border_bottom(FormatBorder::Thin)
}

pub(super) fn text() -> Format {
    Format::new()
        .set_text_wrap()
        .set_align(FormatAlign::Left)
        .set_align(FormatAlign::Top)
        .set_indent(1)
}

/// Text that leads somewhere: underlined, not coloured alone.
pub(super) fn link() -> Format {
    text().set_underline(FormatUnderline::Single).set_font_color(INK)
}

pub(super) fn number(format: &str) -> Format {
    Format::new().set_num_format(format).set_align(FormatAlign::Top)
}

pub(super) fn total(format: &str) -> Format {
    number(format).set_bold().set_border_top(FormatBorder::Thin)
}

/// A verdict as a sign and a word; the sign repeats what the word says.
pub(super) fn verdict(word: &str) -> String {
    let sign = match word {
        "drop-in" => "●",
        "adapt" => "◕",
        "stop-gap" => "◔",
        "refer" => "§",
        "measure" => "?",
        _ => "–",
    };
    format!("{sign} {word}")
}

/// The line above a part of a list of figures.
pub(super) fn part() -> Format {
    Format::new().set_bold().set_font_color(INK).set_indent(1).set_border_bottom(FormatBorder::Hair)
}
