//! Canonical units, and the units reports print with the factor and rule that lead to the canonical one.

use super::ids::contract_ids;

contract_ids! {
    /// A canonical unit: the only units that stand in the history.
    Unit {
        One = "1", Percent = "%", MgPerKg = "mg/kg", DeciSiemensPerMetre = "dS/m",
        CentimolePerKg = "cmol/kg", GramPerCm3 = "g/cm3",
    }
}

contract_ids! {
    /// What a result refers to: a mass of soil, or a volume of it. Numbers of one never join the other's series.
    Basis { Mass = "mass", Volume = "volume" }
}

impl Unit {
    /// How the unit is written after a number for a person; empty for a plain number.
    pub const fn suffix(self) -> &'static str {
        match self {
            Self::One => "",
            other => other.id(),
        }
    }
}
