//! Air as a real gas: density from pressure and temperature, and back.
//!
//! Lemmon, Jacobsen, Penoncello, Friend, "Thermodynamic Properties of Air and Mixtures of Nitrogen,
//! Argon, and Oxygen from 60 to 2000 K at Pressures to 2000 MPa", J. Phys. Chem. Ref. Data 29
//! (2000) 331: the equation for air as one fluid, table 13. Its authors give 0.1 % in density.
//! Only the residual part is here: pressure needs no more.

/// Molar gas constant of the equation, J/(mol K).
const R: f64 = 8.314_51;
/// Reducing temperature, kelvin.
const REDUCING_K: f64 = 132.6312;
/// Reducing density, mol/m3.
const REDUCING_MOL_M3: f64 = 10_447.7;

/// Coldest and hottest that is reckoned with, kelvin: no weather and no fire near a cylinder that
/// anybody would still use lies outside. Keeps a damaged value away from the liquid.
const RANGE_K: (f64, f64) = (180.0, 500.0);

/// One term: factor, power of density, power of temperature, power of density in the exponential.
struct Term(f64, u32, f64, u32);

/// Table 13.
const TERMS: [Term; 19] = [
    Term(0.118_160_747_229, 1, 0.0, 0),
    Term(0.713_116_392_079, 1, 0.33, 0),
    Term(-1.618_241_920_67, 1, 1.01, 0),
    Term(0.071_414_017_897_1, 2, 0.0, 0),
    Term(-0.086_542_139_664_6, 3, 0.0, 0),
    Term(0.134_211_176_704, 3, 0.15, 0),
    Term(0.011_262_670_421_8, 4, 0.0, 0),
    Term(-0.042_053_322_884_2, 4, 0.2, 0),
    Term(0.034_900_843_198_2, 4, 0.35, 0),
    Term(0.000_164_957_183_186, 6, 1.35, 0),
    Term(-0.101_365_037_912, 1, 1.6, 1),
    Term(-0.173_813_690_97, 3, 0.8, 1),
    Term(-0.047_210_318_373_1, 5, 0.95, 1),
    Term(-0.012_252_355_425_3, 6, 1.25, 1),
    Term(-0.146_629_609_713, 1, 3.6, 2),
    Term(-0.031_605_587_982_1, 3, 6.0, 2),
    Term(0.000_233_594_806_142, 11, 3.25, 2),
    Term(0.014_828_789_197_8, 1, 3.5, 3),
    Term(-0.009_387_828_846_67, 3, 15.0, 3),
];

/// Steps of Newton's method: from the ideal gas it settles within six up to 70 MPa.
const STEPS: u32 = 16;

/// The equation at one temperature.
struct Isotherm {
    /// Factors with their power of temperature.
    factors: [f64; TERMS.len()],
    /// R T times the reducing density, pascal.
    scale_pa: f64,
}

impl Isotherm {
    fn at(kelvin: f64) -> Self {
        let kelvin = kelvin.clamp(RANGE_K.0, RANGE_K.1);
        let inverse = REDUCING_K / kelvin;
        Self {
            factors: TERMS.map(|Term(factor, _, power, _)| factor * libm::pow(inverse, power)),
            scale_pa: R * kelvin * REDUCING_MOL_M3,
        }
    }

    /// Pressure at a reduced density, pascal, and its slope.
    fn pressure(&self, delta: f64) -> (f64, f64) {
        let (mut first, mut second) = (0.0, 0.0);
        for (factor, Term(_, power, _, inner)) in self.factors.iter().zip(&TERMS) {
            let (d, l) = (f64::from(*power), f64::from(*inner));
            let x = if *inner == 0 {
                0.0
            } else {
                raised(delta, *inner)
            };
            let term = factor * raised(delta, *power) * libm::exp(-x);
            // delta times the first, delta squared times the second derivative of the term.
            let bent = d - l * x;
            first += term * bent;
            second += term * (bent * (bent - 1.0) - l * l * x);
        }
        let pressure = self.scale_pa * delta * (1.0 + first);
        let slope = self.scale_pa * (1.0 + 2.0 * first + second);
        (pressure, slope)
    }
}

/// A whole power by multiplication: the same everywhere, which the standard library's is not.
fn raised(base: f64, power: u32) -> f64 {
    (0..power).fold(1.0, |product, _| product * base)
}

/// Molar density of air, mol/m3, at an absolute pressure in pascal and a temperature in kelvin.
///
/// Held against `CoolProp` from -20 to 60 °C and to 38 MPa; meant for -60 to 100 °C and to 70 MPa.
#[must_use]
pub fn density(pressure_pa: f64, kelvin: f64) -> f64 {
    let isotherm = Isotherm::at(kelvin);
    let wanted_pa = pressure_pa.max(0.0);
    let ideal = wanted_pa / isotherm.scale_pa;
    let found = (0..STEPS).fold(ideal, |delta, _| {
        let (pressure_pa, slope) = isotherm.pressure(delta);
        delta + (wanted_pa - pressure_pa) / slope
    });
    found * REDUCING_MOL_M3
}

/// Absolute pressure of air, pascal, at a molar density in mol/m3 and a temperature in kelvin.
#[must_use]
pub fn pressure(density_mol_m3: f64, kelvin: f64) -> f64 {
    let delta = density_mol_m3.max(0.0) / REDUCING_MOL_M3;
    Isotherm::at(kelvin).pressure(delta).0
}

/// How far air is from an ideal gas at an absolute pressure in pascal and a temperature in kelvin:
/// 1 for an ideal gas, above 1 where it holds less.
#[must_use]
pub fn compressibility(pressure_pa: f64, kelvin: f64) -> f64 {
    if pressure_pa <= 0.0 {
        return 1.0;
    }
    let kelvin = kelvin.clamp(RANGE_K.0, RANGE_K.1);
    pressure_pa / (density(pressure_pa, kelvin) * R * kelvin)
}
