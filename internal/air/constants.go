package air

// The standard atmosphere below 11 km.
//
// Source: ISO 2533:1975 clause 2 (the figures of ICAO Doc 7488/3 are the same).
// The depth of -5000 m is where the tables of the US Standard Atmosphere 1976 begin.
const (
	stdTemp     = 288.15    // K at 0 m
	stdPressure = 101325    // Pa at 0 m
	stdGas      = 287.05287 // J/(kg K), of dry air
	stdGravity  = 9.80665   // m/s2
	stdLapse    = 0.0065    // K lost in each metre
	stdDensity  = stdPressure / (stdGas * stdTemp)
	stdBottom   = -5000 // m, lowest height
	stdTop      = 11000 // m, the tropopause: above it the formula changes

	pressureExponent = stdGravity / (stdGas * stdLapse) // 5.25588
	densityExponent  = pressureExponent - 1             // 4.25588
)

// Moist air, CIPM-2007. Temperatures t in degrees Celsius, T in kelvins,
// pressures in pascals.
//
// Source: CIPM-2007, appendix A1. They are valid from 600 to 1100 hPa and from 15 to
// 27 C; outside, from -40 to 40 C, they are within 0.2 % of a mixture of two ideal
// gases, as a test checks. That moves a shift by 0.3 % at most, less than Options.Same.
const (
	molarGas   = 8.314472      // J/(mol K)
	molarDry   = 28.96546e-3   // kg/mol, of dry air with 400 ppm of carbon dioxide
	molarWater = 18.01528e-3   // kg/mol
	vapourA    = 1.2378847e-5  // 1/K2, of the saturation vapour pressure
	vapourB    = -1.9121316e-2 // 1/K
	vapourC    = 33.93711047   // 1
	vapourD    = -6.3431645e3  // K
	enhance0   = 1.00062       // 1, of the enhancement factor
	enhanceP   = 3.14e-8       // 1/Pa
	enhanceT   = 5.6e-7        // 1/K2
	compressA0 = 1.58123e-6    // K/Pa, of the compressibility
	compressA1 = -2.9331e-8    // 1/Pa
	compressA2 = 1.1043e-10    // 1/(K Pa)
	compressB0 = 5.707e-6      // K/Pa
	compressB1 = -2.051e-8     // 1/Pa
	compressC0 = 1.9898e-4     // K/Pa
	compressC1 = -2.376e-6     // 1/Pa
	compressD  = 1.83e-11      // K2/Pa2
	compressE  = -0.765e-8     // K2/Pa2
)
