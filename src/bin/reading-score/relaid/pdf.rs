//! Papers as a PDF of standard fonts, written by hand: every cell is a string at a place.

use super::paper::{Block, Head, Paper, Table};
use super::rng::Rng;

/// How a page looks.
#[derive(Debug, Clone, Copy)]
pub struct Look {
    /// A standard font.
    pub font: &'static str,
    /// Size in points.
    pub size: f64,
    /// Between columns, in points.
    pub gap: f64,
    /// Between lines, as a multiple of the size.
    pub leading: f64,
    /// Numbers to the right, in the middle or to the left.
    pub align: f64,
    /// Heading words broken to the width of the column.
    pub wrap: bool,
}

impl Look {
    /// A look by chance.
    pub fn draw(rng: &mut Rng) -> Self {
        Self {
            font: rng.word(&["Helvetica", "Times-Roman", "Courier"]),
            size: rng.between(6.5, 10.5),
            gap: rng.between(6.0, 22.0),
            leading: rng.between(1.15, 1.7),
            align: [0.0, 0.5, 1.0].get(rng.below(3)).copied().unwrap_or(0.0),
            wrap: rng.chance(0.5),
        }
    }

    /// About how wide a text is, in points. A cell need not be set to the hair.
    fn width(self, text: &str) -> f64 {
        let em = |c: char| match (self.font, c) {
            ("Courier", _) => 0.6,
            (_, 'i' | 'l' | 'j' | '.' | ',' | ':' | '\'' | '|' | 't' | 'f' | 'I' | ' ' | '(' | ')' | '-') => {
                0.3
            }
            (_, 'm' | 'w' | 'M' | 'W' | '%' | '@') => 0.84,
            (_, c) if c.is_uppercase() => 0.69,
            _ => 0.54,
        };
        text.chars().map(em).sum::<f64>() * self.size
    }
}

struct Pages {
    look: Look,
    pages: Vec<Vec<(f64, f64, String)>>,
    y: f64,
    width: f64,
}

const MARGIN: f64 = 40.0;

impl Pages {
    fn put(&mut self, x: f64, text: &str) {
        self.width = self.width.max(x + self.look.width(text) + MARGIN);
        let y = self.y;
        if let Some(page) = self.pages.last_mut()
            && !text.is_empty()
        {
            page.push((x, y, text.to_owned()));
        }
    }

    fn down(&mut self) {
        self.y += self.look.size * self.look.leading;
    }

    fn turn(&mut self) {
        self.pages.push(Vec::new());
        self.y = MARGIN;
    }
}

/// The PDF's bytes.
pub fn pdf(paper: &Paper, look: Look) -> Vec<u8> {
    let mut p = Pages { look, pages: vec![Vec::new()], y: MARGIN, width: 612.0 };
    for block in &paper.blocks {
        match block {
            Block::Lines(lines) => {
                for line in lines {
                    p.put(MARGIN, line);
                    p.down();
                }
            }
            Block::Fields(fields) => {
                let wide = fields.iter().map(|(n, _)| look.width(n)).fold(0.0, f64::max) + 14.0;
                for (name, value) in fields {
                    p.put(MARGIN, &format!("{name}:"));
                    p.put(MARGIN + wide, value);
                    p.down();
                }
            }
            Block::Table(t) => {
                table(&mut p, t, MARGIN, paper.rows_a_page, paper.repeat_head);
            }
            Block::Beside(a, b) => {
                let top = p.y;
                let right = table(&mut p, a, MARGIN, usize::MAX, false);
                let low = p.y;
                p.y = top;
                table(&mut p, b, right + 20.0, usize::MAX, false);
                p.y = p.y.max(low);
            }
            Block::Break => p.turn(),
        }
        p.down();
    }
    write(&p)
}

/// Draws a table and gives its right edge.
fn table(p: &mut Pages, t: &Table, left: f64, rows_a_page: usize, repeat: bool) -> f64 {
    let look = p.look;
    let n = t.columns();
    let mut widths = vec![look.size; n];
    let mut widen = |i: usize, w: f64| {
        if let Some(x) = widths.get_mut(i) {
            *x = x.max(w);
        }
    };
    for row in &t.rows {
        row.iter().enumerate().for_each(|(i, c)| widen(i, look.width(c)));
    }
    for row in &t.head {
        let mut at = 0;
        for h in row {
            let text = if look.wrap && h.span == 1 {
                h.text.split(' ').map(|w| look.width(w)).fold(0.0, f64::max)
            } else {
                look.width(&h.text)
            };
            let each = text / f64::from(u32::try_from(h.span.max(1)).unwrap_or(1));
            (at..at + h.span).for_each(|i| widen(i, each));
            at += h.span;
        }
    }
    let mut lefts = Vec::new();
    let mut x = left;
    for w in &widths {
        lefts.push(x);
        x += w + look.gap;
    }
    let place = |i: usize, text: &str, span: usize| {
        let l = lefts.get(i).copied().unwrap_or(left);
        let last = i + span.max(1) - 1;
        let right = lefts.get(last).copied().unwrap_or(l) + widths.get(last).copied().unwrap_or(0.0);
        let numeric = t.numeric.get(i).copied().unwrap_or(false);
        let share = if span > 1 {
            0.5
        } else if numeric {
            look.align
        } else {
            0.0
        };
        l + (right - l - look.width(text)).max(0.0) * share
    };
    head(p, t, &widths, &place);
    for (i, row) in t.rows.iter().enumerate() {
        if i > 0 && i % rows_a_page.max(1) == 0 {
            p.turn();
            if repeat {
                head(p, t, &widths, &place);
            }
        }
        for (c, text) in row.iter().enumerate() {
            let at = place(c, text, 1);
            p.put(at, text);
        }
        p.down();
    }
    x
}

fn head(p: &mut Pages, t: &Table, widths: &[f64], place: &dyn Fn(usize, &str, usize) -> f64) {
    for row in &t.head {
        let lines: Vec<Vec<String>> = row
            .iter()
            .scan(0, |at, h| {
                let wide = widths.get(*at).copied().unwrap_or(0.0);
                *at += h.span;
                Some(broken(h, wide, p.look))
            })
            .collect();
        let tall = lines.iter().map(Vec::len).max().unwrap_or(0);
        for k in 0..tall {
            let mut at = 0;
            for (h, own) in row.iter().zip(&lines) {
                // Short headings stand at the foot.
                if let Some(text) = (k + own.len()).checked_sub(tall).and_then(|i| own.get(i)) {
                    let x = place(at, text, h.span);
                    p.put(x, text);
                }
                at += h.span;
            }
            p.down();
        }
    }
}

fn broken(h: &Head, wide: f64, look: Look) -> Vec<String> {
    if !look.wrap || h.span > 1 {
        return vec![h.text.clone()];
    }
    let mut out: Vec<String> = Vec::new();
    for word in h.text.split(' ') {
        match out.last_mut() {
            Some(line) if look.width(&format!("{line} {word}")) <= wide + 1.0 => {
                line.push(' ');
                line.push_str(word);
            }
            _ => out.push(word.to_owned()),
        }
    }
    out
}

/// Bytes of a text in WinAnsi, brackets escaped. What the font has not stays out.
fn string(text: &str) -> Vec<u8> {
    let mut out = Vec::new();
    for c in text.chars() {
        match c {
            '(' | ')' | '\\' => out.extend([b'\\', u8::try_from(u32::from(c)).unwrap_or(b'?')]),
            '\u{2080}'..='\u{2089}' => out.extend(u8::try_from(u32::from(c) - 0x2080 + 0x30)),
            '\u{207b}' | '\u{2013}' => out.push(b'-'),
            c => out.extend(u8::try_from(u32::from(c))),
        }
    }
    out
}

fn write(p: &Pages) -> Vec<u8> {
    let lowest = p.pages.iter().flatten().map(|(_, y, _)| *y).fold(0.0, f64::max);
    let (wide, tall) = (p.width, (lowest + MARGIN).max(792.0));
    let mut objects: Vec<Vec<u8>> = Vec::new();
    let kids: String = (0..p.pages.len()).map(|i| format!("{} 0 R ", 4 + 2 * i)).collect();
    objects.push(b"<< /Type /Catalog /Pages 2 0 R >>".to_vec());
    objects.push(
        format!(
            "<< /Type /Pages /Kids [{kids}] /Count {} /MediaBox [0 0 {wide:.1} {tall:.1}] >>",
            p.pages.len()
        )
        .into_bytes(),
    );
    objects.push(
        format!("<< /Type /Font /Subtype /Type1 /BaseFont /{} /Encoding /WinAnsiEncoding >>", p.look.font)
            .into_bytes(),
    );
    for (i, page) in p.pages.iter().enumerate() {
        objects.push(
            format!(
                "<< /Type /Page /Parent 2 0 R /Resources << /Font << /F 3 0 R >> >> /Contents {} 0 R >>",
                5 + 2 * i
            )
            .into_bytes(),
        );
        let mut ops = Vec::new();
        for (x, y, text) in page {
            ops.extend(
                format!("BT /F {:.2} Tf 1 0 0 1 {x:.2} {:.2} Tm (", p.look.size, tall - y).into_bytes(),
            );
            ops.extend(string(text));
            ops.extend(b") Tj ET\n");
        }
        let mut stream = format!("<< /Length {} >>\nstream\n", ops.len()).into_bytes();
        stream.extend(ops);
        stream.extend(b"endstream");
        objects.push(stream);
    }
    let mut out = b"%PDF-1.4\n".to_vec();
    let mut places = Vec::new();
    for (i, object) in objects.iter().enumerate() {
        places.push(out.len());
        out.extend(format!("{} 0 obj\n", i + 1).into_bytes());
        out.extend(object);
        out.extend(b"\nendobj\n");
    }
    let start = out.len();
    out.extend(format!("xref\n0 {}\n0000000000 65535 f \n", objects.len() + 1).into_bytes());
    for place in places {
        out.extend(format!("{place:010} 00000 n \n").into_bytes());
    }
    out.extend(
        format!("trailer\n<< /Size {} /Root 1 0 R >>\nstartxref\n{start}\n%%EOF\n", objects.len() + 1)
            .into_bytes(),
    );
    out
}
