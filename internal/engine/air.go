package engine

// Celsius is a temperature in degrees Celsius.
type Celsius float64

// Pascal is a pressure, or a difference of pressures, in pascals.
type Pascal float64

// Metre is a height in metres above mean sea level, or a difference of heights.
type Metre float64

// KilogramPerCubicMetre is a density.
type KilogramPerCubicMetre float64

// Percent is a share or a change in hundredths: 50 is a half.
type Percent float64

// Factors between metric and US customary units.
//
// Source: NIST SP 811, appendix B.8. The inch of
// mercury and the inch of water there are the conventional ones; the foot is
// exact, the pound per cubic foot rounded to seven digits.
const (
	iceKelvin          = 273.15   // K at 0 degrees Celsius, by definition
	fahrenheitPerDeg   = 1.8      // degrees Fahrenheit in one degree Celsius
	fahrenheitAtZero   = 32       // degrees Fahrenheit at 0 degrees Celsius
	pascalPerHecto     = 100      // Pa in one hPa (one millibar)
	pascalPerInchHg    = 3386.389 // Pa in one inch of mercury
	pascalPerMmHg      = 133.3224 // Pa in one millimetre of mercury
	pascalPerInchWater = 249.0889 // Pa in one inch of water
	metrePerFoot       = 0.3048   // m in one foot
	kgm3PerLbft3       = 16.01846 // kg/m3 in one pound per cubic foot
)

// FromKelvin gives the Celsius temperature of an absolute temperature in K.
func FromKelvin(k float64) Celsius { return Celsius(k - iceKelvin) }

// FromFahrenheit gives the Celsius temperature of f degrees Fahrenheit.
func FromFahrenheit(f float64) Celsius {
	return Celsius((f - fahrenheitAtZero) / fahrenheitPerDeg)
}

// Kelvin gives the absolute temperature in K.
func (t Celsius) Kelvin() float64 { return float64(t) + iceKelvin }

// Fahrenheit gives the temperature in degrees Fahrenheit.
func (t Celsius) Fahrenheit() float64 { return float64(t)*fahrenheitPerDeg + fahrenheitAtZero }

// FromHectopascal gives the pressure of h hectopascals (millibars).
func FromHectopascal(h float64) Pascal { return Pascal(h * pascalPerHecto) }

// FromInchHg gives the pressure of a column of h inches of mercury.
func FromInchHg(h float64) Pascal { return Pascal(h * pascalPerInchHg) }

// FromMillimetreHg gives the pressure of a column of h millimetres of mercury.
func FromMillimetreHg(h float64) Pascal { return Pascal(h * pascalPerMmHg) }

// FromInchWater gives the pressure of a column of h inches of water.
func FromInchWater(h float64) Pascal { return Pascal(h * pascalPerInchWater) }

// Hectopascal gives the pressure in hectopascals (millibars).
func (p Pascal) Hectopascal() float64 { return float64(p) / pascalPerHecto }

// InchHg gives the pressure in inches of mercury.
func (p Pascal) InchHg() float64 { return float64(p) / pascalPerInchHg }

// InchWater gives the pressure in inches of water.
func (p Pascal) InchWater() float64 { return float64(p) / pascalPerInchWater }

// FromFoot gives the height of f feet.
func FromFoot(f float64) Metre { return Metre(f * metrePerFoot) }

// Foot gives the height in feet.
func (m Metre) Foot() float64 { return float64(m) / metrePerFoot }

// PoundPerCubicFoot gives the density in pounds per cubic foot.
func (d KilogramPerCubicMetre) PoundPerCubicFoot() float64 { return float64(d) / kgm3PerLbft3 }
