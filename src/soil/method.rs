//! How it was measured: one row a method, and which analytes it can measure.

use super::analyte::Analyte;
use super::ids::contract_ids;

contract_ids! {
    /// An extractant or procedure the contract knows.
    Method {
        Mehlich3 = "mehlich-3", Mehlich3Colorimetric = "mehlich-3-colorimetric", Mehlich1 = "mehlich-1",
        BrayP1 = "bray-p1", BrayP2 = "bray-p2", Olsen = "olsen", Morgan = "morgan",
        ModifiedMorgan = "modified-morgan", AbDtpa = "ab-dtpa", Colwell = "colwell", Kelowna = "kelowna",
        Lancaster = "lancaster", Cal = "cal", AmmoniumAcetate = "ammonium-acetate", Dtpa = "dtpa",
        HotWater = "hot-water", CalciumPhosphate = "calcium-phosphate", Water1to1 = "water-1:1",
        Water1to2 = "water-1:2", Water1to2_5 = "water-1:2.5", Water1to5 = "water-1:5",
        SaturatedPaste = "saturated-paste", Cacl2 = "cacl2", Kcl = "kcl", Smp = "smp", Sikora = "sikora",
        Sikora2 = "sikora-2", MooreSikora = "moore-sikora", AdamsEvans = "adams-evans",
        ModifiedAdamsEvans = "modified-adams-evans", MehlichBuffer = "mehlich",
        ModifiedMehlich = "modified-mehlich", Woodruff = "woodruff", ModifiedWoodruff = "modified-woodruff",
        LossOnIgnition = "loss-on-ignition", WalkleyBlack = "walkley-black", Ec1to1 = "ec-1:1",
        Ec1to2 = "ec-1:2", Summation = "summation", Unstated = "unstated",
    }
}

impl Method {
    /// True where the contract lists this method for the analyte. `unstated` measures anything.
    pub fn measures(self, analyte: Analyte) -> bool {
        use Analyte as A;
        use Method::*;
        match self {
            Unstated => true,
            BrayP1 | BrayP2 | Olsen | Mehlich3Colorimetric | Colwell | Kelowna | Lancaster | Cal => {
                analyte == A::Phosphorus
            }
            Mehlich3 => matches!(
                analyte,
                A::Phosphorus
                    | A::Potassium
                    | A::Calcium
                    | A::Magnesium
                    | A::Sodium
                    | A::Sulfur
                    | A::Zinc
                    | A::Iron
                    | A::Manganese
                    | A::Copper
                    | A::Boron
                    | A::Aluminum
            ),
            Mehlich1 | Morgan | ModifiedMorgan => matches!(
                analyte,
                A::Phosphorus
                    | A::Potassium
                    | A::Calcium
                    | A::Magnesium
                    | A::Sodium
                    | A::Sulfur
                    | A::Zinc
                    | A::Iron
                    | A::Manganese
                    | A::Copper
                    | A::Boron
                    | A::Aluminum
            ),
            AbDtpa => matches!(
                analyte,
                A::Phosphorus | A::Potassium | A::Zinc | A::Iron | A::Manganese | A::Copper | A::Boron
            ),
            AmmoniumAcetate => {
                matches!(analyte, A::Potassium | A::Calcium | A::Magnesium | A::Sodium | A::Cec)
            }
            Dtpa => matches!(analyte, A::Zinc | A::Iron | A::Manganese | A::Copper | A::Boron),
            HotWater => analyte == A::Boron,
            CalciumPhosphate => analyte == A::Sulfur,
            Water1to1 | Water1to2 | Water1to2_5 | Water1to5 | Cacl2 | Kcl => analyte == A::Ph,
            SaturatedPaste => matches!(analyte, A::Ph | A::SolubleSalts | A::Sar),
            Smp | Sikora | Sikora2 | MooreSikora | AdamsEvans | ModifiedAdamsEvans | MehlichBuffer
            | ModifiedMehlich | Woodruff | ModifiedWoodruff => {
                matches!(analyte, A::BufferPh | A::LimeIndex)
            }
            LossOnIgnition | WalkleyBlack => analyte == A::OrganicMatter,
            Ec1to1 | Ec1to2 => analyte == A::SolubleSalts,
            Summation => analyte == A::Cec,
        }
    }
}
