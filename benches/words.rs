//! Words with their places out of a PDF page.

use crate::maker::paper::{Arrangement, paper};
use loamline::document::{self, Content, Limits};

#[divan::bench(args = [Arrangement::PdfDown, Arrangement::PdfAcross])]
fn of_a_pdf_page(bencher: divan::Bencher<'_, '_>, arrangement: Arrangement) {
    let made = paper(arrangement, 0..20, 3);
    let limits = Limits::default();
    let words = |bytes: &[u8]| match &document::open(bytes, &limits).unwrap().pages[0].content {
        Content::Words(words) => words.len(),
        _ => 0,
    };
    assert!(words(&made.bytes) > 60);
    bencher.bench(|| words(divan::black_box(&made.bytes)));
}
