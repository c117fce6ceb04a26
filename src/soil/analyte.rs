//! What can be measured: one row an analyte. Everything that loops over analytes loops over this list.

use super::ids::contract_ids;
use super::unit::Unit;

contract_ids! {
    /// A measurement the contract knows.
    Analyte {
        Ph = "ph", BufferPh = "buffer_ph", OrganicMatter = "organic_matter",
        Phosphorus = "phosphorus", Potassium = "potassium", Calcium = "calcium", Magnesium = "magnesium",
        Sodium = "sodium", Sulfur = "sulfur", Zinc = "zinc", Iron = "iron", Manganese = "manganese",
        Copper = "copper", Boron = "boron", Aluminum = "aluminum", Chloride = "chloride",
        NitrateN = "nitrate_n", AmmoniumN = "ammonium_n", SolubleSalts = "soluble_salts", Cec = "cec",
        Acidity = "acidity", SatK = "sat_k", SatCa = "sat_ca", SatMg = "sat_mg", SatNa = "sat_na",
        SatH = "sat_h", Sar = "sar", LimeIndex = "lime_index", Sand = "sand", Silt = "silt", Clay = "clay",
        BulkDensity = "bulk_density",
    }
}

impl Analyte {
    /// The canonical unit.
    pub const fn unit(self) -> Unit {
        use Analyte::*;
        match self {
            Ph | BufferPh | Sar | LimeIndex => Unit::One,
            OrganicMatter | SatK | SatCa | SatMg | SatNa | SatH | Sand | Silt | Clay => Unit::Percent,
            SolubleSalts => Unit::DeciSiemensPerMetre,
            Cec | Acidity => Unit::CentimolePerKg,
            BulkDensity => Unit::GramPerCm3,
            _ => Unit::MgPerKg,
        }
    }

    /// The name a practitioner reads.
    pub const fn name(self) -> &'static str {
        use Analyte::*;
        match self {
            Ph => "pH",
            BufferPh => "buffer pH",
            OrganicMatter => "organic matter",
            Phosphorus => "phosphorus (P)",
            Potassium => "potassium (K)",
            Calcium => "calcium (Ca)",
            Magnesium => "magnesium (Mg)",
            Sodium => "sodium (Na)",
            Sulfur => "sulfur (S)",
            Zinc => "zinc (Zn)",
            Iron => "iron (Fe)",
            Manganese => "manganese (Mn)",
            Copper => "copper (Cu)",
            Boron => "boron (B)",
            Aluminum => "aluminum (Al)",
            Chloride => "chloride (Cl)",
            NitrateN => "nitrate-N",
            AmmoniumN => "ammonium-N",
            SolubleSalts => "soluble salts (EC)",
            Cec => "CEC",
            Acidity => "acidity",
            SatK => "K saturation",
            SatCa => "Ca saturation",
            SatMg => "Mg saturation",
            SatNa => "Na saturation",
            SatH => "H saturation",
            Sar => "SAR",
            LimeIndex => "lime index",
            Sand => "sand",
            Silt => "silt",
            Clay => "clay",
            BulkDensity => "bulk density",
        }
    }

    /// Short symbol for a narrow table or an axis.
    pub const fn symbol(self) -> &'static str {
        use Analyte::*;
        match self {
            Ph => "pH",
            BufferPh => "buffer pH",
            OrganicMatter => "OM",
            Phosphorus => "P",
            Potassium => "K",
            Calcium => "Ca",
            Magnesium => "Mg",
            Sodium => "Na",
            Sulfur => "S",
            Zinc => "Zn",
            Iron => "Fe",
            Manganese => "Mn",
            Copper => "Cu",
            Boron => "B",
            Aluminum => "Al",
            Chloride => "Cl",
            NitrateN => "NO3-N",
            AmmoniumN => "NH4-N",
            SolubleSalts => "EC",
            Cec => "CEC",
            Acidity => "acidity",
            SatK => "K sat.",
            SatCa => "Ca sat.",
            SatMg => "Mg sat.",
            SatNa => "Na sat.",
            SatH => "H sat.",
            Sar => "SAR",
            LimeIndex => "lime index",
            Sand => "sand",
            Silt => "silt",
            Clay => "clay",
            BulkDensity => "bulk density",
        }
    }

    /// Milligrams per kilogram that make 1 cmol(+)/kg, for the exchangeable cations.
    ///
    /// From IUPAC atomic weights (from memory): K 39.098, Ca 40.078, Mg 24.305, Na 22.990; the round figures
    /// 391, 200, 121.5, 230 used by laboratories agree within half a percent.
    pub const fn mg_per_cmol(self) -> Option<f64> {
        match self {
            Self::Potassium => Some(390.98),
            Self::Calcium => Some(200.39),
            Self::Magnesium => Some(121.525),
            Self::Sodium => Some(229.90),
            _ => None,
        }
    }

    /// True for a share of the exchange complex.
    pub const fn is_share(self) -> bool {
        matches!(self, Self::SatCa | Self::SatH | Self::SatK | Self::SatMg | Self::SatNa)
    }

    /// True for a measurement whose share of the exchange complex some reports print as a saturation.
    pub const fn saturation(self) -> Option<Self> {
        match self {
            Self::Potassium => Some(Self::SatK),
            Self::Calcium => Some(Self::SatCa),
            Self::Magnesium => Some(Self::SatMg),
            Self::Sodium => Some(Self::SatNa),
            Self::Acidity => Some(Self::SatH),
            _ => None,
        }
    }
}
