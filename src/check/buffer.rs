//! A buffer pH against the soil's own pH, the buffer's start, and the lime index.

use super::{hold, only, value, witness};
use crate::soil::chemistry::acidity_from_buffer;
use crate::soil::closure::{Limit, Tolerances, buffer_start};
use crate::soil::{Analyte, Method, Sample};

/// Checks the buffer of a sample.
pub fn check(sample: &mut Sample) {
    let Ok(tolerances) = Tolerances::built_in() else { return };
    if let (Some(buffer), Some(index)) = (value(sample, Analyte::BufferPh), value(sample, Analyte::LimeIndex))
    {
        if tolerances.lime_index(buffer, index).closes {
            witness(sample, &[Analyte::BufferPh, Analyte::LimeIndex], "lime index and buffer pH agree");
        } else {
            let sentence =
                format!("A lime index of {index} is ten times the buffer pH, but {buffer} is printed.");
            hold(sample, &[Analyte::BufferPh, Analyte::LimeIndex], "lime-index", &sentence, &[]);
        }
    }
    let Some(reading) = only(sample, Analyte::BufferPh) else { return };
    let (buffer, method) = (reading.quantity.value, reading.method);
    if method == Method::Unstated {
        let sentence = "The report does not name the buffer, and no lime table can be read without its name.";
        hold(sample, &[Analyte::BufferPh], "buffer-unnamed", sentence, &[]);
    }
    if let Ok(Some(start)) = buffer_start(method, buffer)
        && !start.closes
    {
        let sentence =
            format!("A {method} buffer starts at pH {}; {buffer} cannot be read with it.", start.calculated);
        hold(sample, &[Analyte::BufferPh], "buffer-start", &sentence, &[]);
    }
    let Some(ph) = value(sample, Analyte::Ph) else { return };
    // A laboratory that reads the buffer of every sample prints one without acidity on soil that is not acid.
    let idle =
        acidity_from_buffer(method, buffer).is_ok_and(|found| found.is_some_and(|a| a.meq_per_100 <= 0.0));
    if idle {
        return;
    }
    if !tolerances.buffer_expected(ph) {
        let sentence = format!("A buffer pH of {buffer} tells of acidity, but the pH is {ph}.");
        hold(sample, &[Analyte::BufferPh], "buffer-on-neutral", &sentence, &[]);
    } else if buffer < ph - tolerances.limit(Limit::BufferBelowPh) {
        let sentence = format!(
            "The buffer pH {buffer} stands below the soil's own pH {ph}; perhaps the two are swapped."
        );
        hold(sample, &[Analyte::BufferPh, Analyte::Ph], "buffer-below-ph", &sentence, &[]);
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{doubted, reading, sample};
    use super::*;

    #[test]
    fn a_buffer_that_tells_of_acidity_on_neutral_soil_or_stands_below_the_ph_is_held() {
        let smp = |ph: &str, buffer: &str| {
            let mut s = sample(&[(Analyte::Ph, ph)]);
            s.readings.push(reading(Analyte::BufferPh, Method::Smp, buffer));
            s
        };
        let mut fine = smp("5.7", "6.6");
        check(&mut fine);
        assert_eq!(doubted(&fine), []);
        let mut idle = smp("7.1", "7.0");
        check(&mut idle);
        assert_eq!(doubted(&idle), []);
        let mut neutral = smp("7.6", "6.7");
        check(&mut neutral);
        assert_eq!(doubted(&neutral), [Analyte::BufferPh]);
        let mut swapped = smp("6.8", "5.6");
        check(&mut swapped);
        assert_eq!(doubted(&swapped).len(), 2);
    }
}
