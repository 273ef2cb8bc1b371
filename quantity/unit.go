package quantity

import (
	"maps"
	"slices"
)

// The dimensions.
const (
	Length      Dimension = "length"
	Area        Dimension = "area"
	Volume      Dimension = "volume"
	Mass        Dimension = "mass"
	Time        Dimension = "time"
	Temperature Dimension = "temperature"
	Torque      Dimension = "torque"
	Force       Dimension = "force"
	Pressure    Dimension = "pressure"
	Voltage     Dimension = "voltage"
	Current     Dimension = "current"
	Resistance  Dimension = "resistance"
	Capacitance Dimension = "capacitance"
	Frequency   Dimension = "frequency"
	Rotation    Dimension = "rotational speed"
	Angle       Dimension = "angle"
	Ratio       Dimension = "number"
	Distance    Dimension = "distance driven"
	Speed       Dimension = "road speed"
	MassFlow    Dimension = "mass flow"
	VolumeFlow  Dimension = "volume flow"
	Power       Dimension = "power"
	Viscosity   Dimension = "kinematic viscosity"
)

// Exact factors that several units share.
const (
	poundForce = 4.4482216152605 // N, NIST SP 811 B.8
	foot       = 0.3048          // m, NIST SP 811 B.8
	gravity    = 9.80665         // m/s², NIST SP 811 B.8
	inch       = foot / 12       // m
)

var table = []unit{
	{"1", Ratio, 1, 0},
	{"%", Ratio, 0.01, 0},
	{"m", Length, 1, 0},
	{"mm", Length, 1e-3, 0},
	{"cm", Length, 1e-2, 0},
	{"in", Length, inch, 0},
	{"km", Distance, 1e3, 0},
	{"mi", Distance, 1609.344, 0},
	{"mm²", Area, 1e-6, 0},
	{"L", Volume, 1e-3, 0},
	{"mL", Volume, 1e-6, 0},
	{"g", Mass, 1e-3, 0},
	{"kg", Mass, 1, 0},
	{"s", Time, 1, 0},
	{"ms", Time, 1e-3, 0},
	{"min", Time, 60, 0},
	{"h", Time, 3600, 0},
	{"d", Time, 86400, 0},
	{"months", Time, 30.4375 * 86400, 0}, // a twelfth of 365.25 days
	{"K", Temperature, 1, 0},
	{"°C", Temperature, 1, 273.15},
	{"°F", Temperature, 5.0 / 9, 459.67 * 5 / 9},
	{"N·m", Torque, 1, 0},
	{"kgf·m", Torque, gravity, 0},
	{"kgf·cm", Torque, gravity / 100, 0},
	{"lbf·ft", Torque, poundForce * foot, 0},
	{"lbf·in", Torque, poundForce * inch, 0},
	{"ozf·in", Torque, poundForce / 16 * inch, 0},
	{"N", Force, 1, 0},
	{"kN", Force, 1e3, 0},
	{"Pa", Pressure, 1, 0},
	{"hPa", Pressure, 100, 0},
	{"kPa", Pressure, 1e3, 0},
	{"MPa", Pressure, 1e6, 0},
	{"bar", Pressure, 1e5, 0},
	{"mbar", Pressure, 100, 0},
	{"kgf/cm²", Pressure, gravity * 1e4, 0},
	{"psi", Pressure, poundForce / (inch * inch), 0},
	{"V", Voltage, 1, 0},
	{"mV", Voltage, 1e-3, 0},
	{"kV", Voltage, 1e3, 0},
	{"A", Current, 1, 0},
	{"mA", Current, 1e-3, 0},
	{"µA", Current, 1e-6, 0},
	{"Ω", Resistance, 1, 0},
	{"mΩ", Resistance, 1e-3, 0},
	{"kΩ", Resistance, 1e3, 0},
	{"MΩ", Resistance, 1e6, 0},
	{"F", Capacitance, 1, 0},
	{"pF", Capacitance, 1e-12, 0},
	{"nF", Capacitance, 1e-9, 0},
	{"µF", Capacitance, 1e-6, 0},
	{"Hz", Frequency, 1, 0},
	{"kHz", Frequency, 1e3, 0},
	{"rpm", Rotation, 1.0 / 60, 0},
	{"°", Angle, 1, 0},
	{"km/h", Speed, 1 / 3.6, 0},
	{"g/s", MassFlow, 1e-3, 0},
	{"kg/h", MassFlow, 1.0 / 3600, 0},
	{"L/h", VolumeFlow, 1e-3 / 3600, 0},
	{"W", Power, 1, 0},
	{"kW", Power, 1e3, 0},
	{"mm²/s", Viscosity, 1e-6, 0},
}

// spellings are other ways in which people write a unit.
var spellings = map[string]string{
	"Nm": "N·m", "N.m": "N·m", "N m": "N·m", "newton metres": "N·m",
	"kgm": "kgf·m", "kgf.cm": "kgf·cm", "kgcm": "kgf·cm", "ozf.in": "ozf·in", "oz-in": "ozf·in", "kgf/cm2": "kgf/cm²", "kgf.m": "kgf·m", "lbft": "lbf·ft", "lb-ft": "lbf·ft", "lbf.ft": "lbf·ft", "ft-lb": "lbf·ft",
	"lbin": "lbf·in", "lb-in": "lbf·in", "lbf.in": "lbf·in", "in-lb": "lbf·in",
	"degC": "°C", "°c": "°C", "degF": "°F", "ohm": "Ω", "ohms": "Ω", "Ω": "Ω", "mohm": "mΩ", "kohm": "kΩ", "Mohm": "MΩ",
	"kΩ": "kΩ", "MΩ": "MΩ", "mΩ": "mΩ",
	"uF": "µF", "uA": "µA", "μA": "µA", "μF": "µF", "l": "L", "l/h": "L/h", "ml": "mL", "mm2": "mm²", "mm2/s": "mm²/s", "deg": "°", "1/min": "rpm",
	"miles": "mi", "month": "months", "percent": "%", "minutes": "min", "hours": "h",
}

var byName = func() map[string]unit {
	m := make(map[string]unit, len(table))
	for _, u := range table {
		m[u.name] = u
	}
	return m
}()

func lookup(name string) (unit, bool) {
	if to, ok := spellings[name]; ok {
		name = to
	}
	u, ok := byName[name]
	return u, ok
}

// Units lists every printed unit name in order.
func Units() []string { return slices.Sorted(maps.Keys(byName)) }
