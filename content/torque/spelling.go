package torque

// spellings lists how the trade writes each unit. A "·" stands for any of the
// signs that people put between two units (· - . * × or a blank) and for none.
// Capitals count first; where they do not match, they are disregarded, unless
// that would make two units one (refused below).
var spellings = map[Unit]string{
	NewtonMetre:             "N·m|newton·metre|newton·metres|newton·meter|newton·meters",
	DecinewtonMetre:         "dN·m",
	NewtonCentimetre:        "N·cm|cN·m",
	PoundForceFoot:          "lbf·ft|ft·lbf|lb·ft|ft·lb|lbs·ft|ft·lbs|pound·feet|pound·foot|foot·pound|foot·pounds|lbf·feet",
	PoundForceInch:          "lbf·in|in·lbf|lb·in|in·lb|lbs·in|in·lbs|pound·inch|pound·inches|inch·pound|inch·pounds|lbf·inch|inch·lb|inch·lbs",
	OunceForceInch:          "ozf·in|in·ozf|oz·in|in·oz|ounce·inch|ounce·inches|inch·ounce|inch·ounces",
	KilogramForceMetre:      "kgf·m|m·kgf|kg·m|m·kg|kp·m|m·kp",
	KilogramForceCentimetre: "kgf·cm|cm·kgf|kg·cm|cm·kg|kp·cm|cm·kp",

	Metre:      "m|metre|metres|meter|meters",
	Centimetre: "cm|centimetre|centimetres|centimeter|centimeters",
	Millimetre: "mm|millimetre|millimetres|millimeter|millimeters",
	Micrometre: "µm|um|micron|microns|micrometre|micrometres",
	Foot:       "ft|foot|feet",
	Inch:       "in|\"|''|inch|inches",
	Thou:       "thou|thousandth|thousandths",

	Pascal:                           "Pa|pascal|pascals|N/m²",
	Kilopascal:                       "kPa|kilopascal|kilopascals",
	Megapascal:                       "MPa|megapascal|megapascals|N/mm²",
	Bar:                              "bar|bars|bar·g|bar(g)",
	Millibar:                         "mbar|millibar|millibars",
	PSI:                              "psi|psi·g|psi(g)|lbf/in²|lb/in²",
	KilogramForcePerSquareCentimetre: "kgf/cm²|kg/cm²|kp/cm²|ksc",

	Degree: "°|deg|degs|degree|degrees",
	Turn:   "turn|turns|rev|revs|revolution|revolutions",

	Second: "s|sec|secs|second|seconds",
	Minute: "min|mins|minute|minutes",
	Hour:   "h|hr|hrs|hour|hours",

	Percent:       "%|percent|per·cent|pct",
	DegreeCelsius: "°C|deg·C|degree·Celsius|degrees·Celsius|Celsius",

	Gram:     "g|gram|grams|gramme|grammes",
	Kilogram: "kg|kilogram|kilograms",

	MillilitrePerMinute: "mL/min|cc/min|cm³/min",
	LitrePerMinute:      "L/min|lpm",

	Millilitre: "mL|ml|millilitre|millilitres|milliliter|milliliters|cm³|cc",
	Litre:      "L|l|litre|litres|liter|liters|dm³",

	PerMinute: "/min|1/min|per·min|per·minute|r/min|rpm|min·1",
	Piece:     "pcs|pc|piece|pieces",
}

// refused lists what people write that has no single meaning, or a meaning that
// the program does not keep, and what to write instead.
var refused = map[string]string{
	"J":     "an energy: for a torque write N·m",
	"N/m":   "a force for each metre: for a torque write N·m",
	"lb/ft": "a force for each foot: for a torque write lbf·ft",
	"ft/lb": "a length for each pound: for a torque write lbf·ft",
	"lb/in": "a force for each inch: for a torque write lbf·in",
	"in/lb": "a length for each pound: for a torque write lbf·in",
	"kg/m":  "a mass for each metre: for a torque write kgf·m",
	"kg/cm": "unclear: for a torque write kgf·cm, for a pressure kgf/cm²",
	"N":     "a force, not a torque: write N·m with the lever",
	"lb":    "a mass or a force: for a torque write lbf·ft or lbf·in",
	"lbs":   "a mass or a force: for a torque write lbf·ft or lbf·in",
	"lbf":   "a force: for a torque write lbf·ft or lbf·in",
	"#":     "a mass, a force or a number: for a torque write lbf·ft or lbf·in",
	"oz":    "a mass or a force: for a torque write ozf·in",
	"ozf":   "a force: for a torque write ozf·in",
	"kgf":   "a force: for a torque write kgf·m or kgf·cm, for a pressure kgf/cm²",
	"nm":    "nanometres as it stands: for newton metres write N·m",
	"NM":    "nautical miles as it stands: for newton metres write N·m",
	"nM":    "no unit of a torque: for newton metres write N·m",
	"mN·m":  "a thousandth of a newton metre: write it in N·m, or in N·cm (1 N·cm is 10 mN·m)",
	"Mn·m":  "no unit: for newton metres write N·m",
	"MN·m":  "a million newton metres: write it in N·m",
	"kN·m":  "a thousand newton metres: write it in N·m",
	"daN·m": "ten newton metres: write it in N·m",
	"N·mm":  "a thousandth of a newton metre: write it in N·m, or in N·cm (1 N·cm is 10 N·mm)",
	"mPa":   "thousandths of a pascal as it stands: for megapascals write MPa",
	"mpa":   "thousandths of a pascal or megapascals: for megapascals write MPa",
	"MPA":   "thousandths of a pascal or megapascals: for megapascals write MPa",
	"mil":   "a thousandth of an inch or a millimetre: write thou or mm",
	"mils":  "a thousandth of an inch or a millimetre: write thou or mm",
	"'":     "feet or minutes: write ft or min",
	"M":     "no unit: write m for metres, min for minutes",
	"bara":  "an absolute pressure, which gauges do not show: write the gauge pressure in bar",
	"psia":  "an absolute pressure, which gauges do not show: write the gauge pressure in psi",
	"at":    "a technical atmosphere or a standard one: write kgf/cm² or bar",
	"atm":   "a standard atmosphere: write bar (1 atm is 1.01325 bar)",
	"kg/f":  "unclear: write kgf·m, kgf·cm or kgf/cm²",
	"°F":    "degrees Fahrenheit, which are not kept: write °C",
	"F":     "degrees Fahrenheit, which are not kept: write °C",
	"C":     "a charge as it stands: for degrees Celsius write °C",
	"K":     "kelvins, which are not kept: write °C",
	"rad":   "radians, which are not kept: write °",
}
