//! The demo's reports, carried in the program so that it runs anywhere.

/// Name and bytes of each report, by name.
pub const FILES: &[(&str, &[u8])] = &[
    ("Soil letter PL18209.eml", include_bytes!("../../fixtures/demo/Soil letter PL18209.eml")),
    ("W16-2385 Tamsett.pdf", include_bytes!("../../fixtures/demo/W16-2385 Tamsett.pdf")),
    ("W17-6298 Tamsett.pdf", include_bytes!("../../fixtures/demo/W17-6298 Tamsett.pdf")),
    ("W18-2674 Tamsett.pdf", include_bytes!("../../fixtures/demo/W18-2674 Tamsett.pdf")),
    ("W19-5537 Tamsett.pdf", include_bytes!("../../fixtures/demo/W19-5537 Tamsett.pdf")),
    ("W20-9071 Tamsett.pdf", include_bytes!("../../fixtures/demo/W20-9071 Tamsett.pdf")),
    ("W21-4962 Fallowes.pdf", include_bytes!("../../fixtures/demo/W21-4962 Fallowes.pdf")),
    ("W22-3415 Tamsett.pdf", include_bytes!("../../fixtures/demo/W22-3415 Tamsett.pdf")),
    ("W22-5937 Fallowes.pdf", include_bytes!("../../fixtures/demo/W22-5937 Fallowes.pdf")),
    ("W23-1320 Tamsett.pdf", include_bytes!("../../fixtures/demo/W23-1320 Tamsett.pdf")),
    ("W23-8525 Fallowes.pdf", include_bytes!("../../fixtures/demo/W23-8525 Fallowes.pdf")),
    (
        "W24-4624 Fallowes corrected.pdf",
        include_bytes!("../../fixtures/demo/W24-4624 Fallowes corrected.pdf"),
    ),
    ("W24-4624 Fallowes.pdf", include_bytes!("../../fixtures/demo/W24-4624 Fallowes.pdf")),
    ("W24-8653 Tamsett.pdf", include_bytes!("../../fixtures/demo/W24-8653 Tamsett.pdf")),
    ("W25-8223 Tamsett.pdf", include_bytes!("../../fixtures/demo/W25-8223 Tamsett.pdf")),
    ("W25-8966 Fallowes.pdf", include_bytes!("../../fixtures/demo/W25-8966 Fallowes.pdf")),
    ("W26-5392 Fallowes.pdf", include_bytes!("../../fixtures/demo/W26-5392 Fallowes.pdf")),
    ("W26-6709 Tamsett.pdf", include_bytes!("../../fixtures/demo/W26-6709 Tamsett.pdf")),
    ("marlpike_MK2018026.csv", include_bytes!("../../fixtures/demo/marlpike_MK2018026.csv")),
    ("marlpike_MK2019040.csv", include_bytes!("../../fixtures/demo/marlpike_MK2019040.csv")),
    ("marlpike_MK2020079.csv", include_bytes!("../../fixtures/demo/marlpike_MK2020079.csv")),
    ("marlpike_MK2021088.csv", include_bytes!("../../fixtures/demo/marlpike_MK2021088.csv")),
    ("marlpike_MK2022034.xlsx", include_bytes!("../../fixtures/demo/marlpike_MK2022034.xlsx")),
    ("marlpike_MK2023035.xlsx", include_bytes!("../../fixtures/demo/marlpike_MK2023035.xlsx")),
    ("marlpike_MK2024035.xlsx", include_bytes!("../../fixtures/demo/marlpike_MK2024035.xlsx")),
    ("marlpike_MK2025097.xlsx", include_bytes!("../../fixtures/demo/marlpike_MK2025097.xlsx")),
    ("marlpike_MK2026094.xlsx", include_bytes!("../../fixtures/demo/marlpike_MK2026094.xlsx")),
    ("orrindale-184916.pdf", include_bytes!("../../fixtures/demo/orrindale-184916.pdf")),
    ("orrindale-197191.pdf", include_bytes!("../../fixtures/demo/orrindale-197191.pdf")),
    ("orrindale-201289.pdf", include_bytes!("../../fixtures/demo/orrindale-201289.pdf")),
    ("orrindale-218864.pdf", include_bytes!("../../fixtures/demo/orrindale-218864.pdf")),
    ("orrindale-229138.pdf", include_bytes!("../../fixtures/demo/orrindale-229138.pdf")),
    ("orrindale-231706.pdf", include_bytes!("../../fixtures/demo/orrindale-231706.pdf")),
    ("orrindale-249880.pdf", include_bytes!("../../fixtures/demo/orrindale-249880.pdf")),
    ("orrindale-254943.pdf", include_bytes!("../../fixtures/demo/orrindale-254943.pdf")),
    ("orrindale-267838.pdf", include_bytes!("../../fixtures/demo/orrindale-267838.pdf")),
    ("refused-invoice.pdf", include_bytes!("../../fixtures/demo/refused-invoice.pdf")),
    ("refused-irrigation-water.pdf", include_bytes!("../../fixtures/demo/refused-irrigation-water.pdf")),
    ("soil-letter-PL16128.pdf", include_bytes!("../../fixtures/demo/soil-letter-PL16128.pdf")),
    ("soil-letter-PL17897.pdf", include_bytes!("../../fixtures/demo/soil-letter-PL17897.pdf")),
    ("soil-letter-PL19179.pdf", include_bytes!("../../fixtures/demo/soil-letter-PL19179.pdf")),
    ("soil-letter-PL20478.pdf", include_bytes!("../../fixtures/demo/soil-letter-PL20478.pdf")),
    ("tessaby_TS2017-546.pdf", include_bytes!("../../fixtures/demo/tessaby_TS2017-546.pdf")),
    ("tessaby_TS2018-139.pdf", include_bytes!("../../fixtures/demo/tessaby_TS2018-139.pdf")),
    ("tessaby_TS2019-692.pdf", include_bytes!("../../fixtures/demo/tessaby_TS2019-692.pdf")),
    ("tessaby_TS2020-353.pdf", include_bytes!("../../fixtures/demo/tessaby_TS2020-353.pdf")),
    ("tessaby_TS2021-478.pdf", include_bytes!("../../fixtures/demo/tessaby_TS2021-478.pdf")),
    ("tessaby_TS2022-778.pdf", include_bytes!("../../fixtures/demo/tessaby_TS2022-778.pdf")),
    ("tessaby_TS2023-376.pdf", include_bytes!("../../fixtures/demo/tessaby_TS2023-376.pdf")),
    ("tessaby_TS2024-459.pdf", include_bytes!("../../fixtures/demo/tessaby_TS2024-459.pdf")),
    ("tessaby_TS2025-372.pdf", include_bytes!("../../fixtures/demo/tessaby_TS2025-372.pdf")),
    ("tessaby_TS2026-768.pdf", include_bytes!("../../fixtures/demo/tessaby_TS2026-768.pdf")),
];

/// What the invented firm set: name in the home, and text.
pub const HOME: &[(&str, &str)] = &[
    ("loamline.toml", include_str!("../../fixtures/demo/home/loamline.toml")),
    ("products.toml", include_str!("../../fixtures/demo/home/products.toml")),
    ("applied.csv", APPLIED),
];

/// What went down on its sites.
pub const APPLIED: &str = include_str!("../../fixtures/demo/home/applied.csv");

#[cfg(test)]
mod tests {
    use super::FILES;

    #[test]
    fn every_report_of_the_folder_is_in_the_list() {
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/demo");
        let mut there: Vec<String> = std::fs::read_dir(folder)
            .unwrap()
            .filter(|e| e.as_ref().unwrap().path().is_file())
            .map(|e| e.unwrap().file_name().into_string().unwrap())
            .filter(|n| !n.ends_with(".readings.csv") && !n.ends_with(".why.txt"))
            .collect();
        there.sort();
        let listed: Vec<&str> = FILES.iter().map(|(n, _)| *n).collect();
        assert_eq!(listed, there);
    }
}
