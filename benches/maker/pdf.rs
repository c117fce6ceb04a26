//! A PDF of one standard font, written by hand.

/// A page: strings at places, in points from its upper left corner.
pub struct Page {
    width: f64,
    height: f64,
    size: f64,
    drawn: String,
}

impl Page {
    pub fn new(width: f64, height: f64, size: f64) -> Self {
        Self { width, height, size, drawn: String::new() }
    }

    /// A string that begins at x.
    pub fn left(&mut self, x: f64, y: f64, text: &str) {
        if text.is_empty() {
            return;
        }
        let shown = text.replace('\\', "\\\\").replace('(', "\\(").replace(')', "\\)");
        let y = self.height - y;
        self.drawn += &format!("BT /F {} Tf 1 0 0 1 {x:.2} {y:.2} Tm ({shown}) Tj ET\n", self.size);
    }

    /// A string that ends near x: Helvetica's figures are 0.556 em wide, the other letters about as much.
    pub fn right(&mut self, x: f64, y: f64, text: &str) {
        let width: f64 = text.chars().map(|c| if ".,:;il ".contains(c) { 0.278 } else { 0.556 }).sum();
        self.left(x - width * self.size, y, text);
    }
}

/// The file.
pub fn file(pages: &[Page]) -> Vec<u8> {
    let kids: String = (0..pages.len()).map(|i| format!("{} 0 R ", 4 + 2 * i)).collect();
    let mut objects = vec![
        "<< /Type /Catalog /Pages 2 0 R >>".to_owned(),
        format!("<< /Type /Pages /Kids [{kids}] /Count {} >>", pages.len()),
        "<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica /Encoding /WinAnsiEncoding >>".to_owned(),
    ];
    for (i, page) in pages.iter().enumerate() {
        objects.push(format!(
            "<< /Type /Page /Parent 2 0 R /MediaBox [0 0 {} {}] /Resources << /Font << /F 3 0 R >> >> /Contents {} 0 R >>",
            page.width,
            page.height,
            5 + 2 * i
        ));
        objects.push(format!("<< /Length {} >>\nstream\n{}endstream", page.drawn.len(), page.drawn));
    }
    let mut out = "%PDF-1.4\n".to_owned();
    let mut places = String::new();
    for (i, object) in objects.iter().enumerate() {
        places += &format!("{:010} 00000 n \n", out.len());
        out += &format!("{} 0 obj\n{object}\nendobj\n", i + 1);
    }
    let start = out.len();
    let count = objects.len() + 1;
    out += &format!("xref\n0 {count}\n0000000000 65535 f \n{places}");
    out += &format!("trailer\n<< /Size {count} /Root 1 0 R >>\nstartxref\n{start}\n%%EOF\n");
    out.into_bytes()
}
