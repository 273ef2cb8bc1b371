package live

import "fmt"

// The scalings of SAE J1979 (ISO 15031-5), as public copies of the table of
// data items print them; where copies differ the formula decides.

// shapes that many items share.
var (
	percent = Scaling{Unit: "%", Width: 1, Mul: 100, Div: 255}
	trim    = Scaling{Unit: "%", Width: 1, Mul: 100, Div: 128, Add: -100}
	celsius = Scaling{Unit: "°C", Width: 1, Mul: 1, Div: 1, Add: -40}
	lambda  = Scaling{Unit: "1", Width: 2, Mul: 2, Div: 65536}
	torque  = Scaling{Unit: "%", Width: 1, Mul: 1, Div: 1, Add: -125}
	exhaust = Scaling{Unit: "°C", Width: 2, Mul: 1, Div: 10, Add: -40}
)

// whole is a scaling of one or two bytes that count in a unit.
func whole(unit string, width int, mul, div, add float64) Scaling {
	return Scaling{Unit: unit, Width: width, Mul: mul, Div: div, Add: add}
}

// at names a scaling and places it.
func (s Scaling) at(i int, channel string) Scaling {
	s.At, s.Channel = i, channel
	return s
}

// items is the table, by PID.
var items = func() (t [256]Item) {
	single(&t)
	doubles(&t)
	oxygen(&t)
	torques(&t)
	others(&t)
	for p := range t {
		t[p].PID = PID(p)
	}
	return t
}()

// number enters an item of one value.
func number(t *[256]Item, p PID, name string, s Scaling) {
	t[p] = Item{Name: name, Length: s.Width, Values: []Scaling{s.at(0, name)}}
}

func single(t *[256]Item) {
	for _, r := range []struct {
		p    PID
		name string
		s    Scaling
	}{
		{0x04, "calculated load", percent},
		{0x05, "engine coolant temperature", celsius},
		{0x06, "short term fuel trim bank 1", trim},
		{0x07, "long term fuel trim bank 1", trim},
		{0x08, "short term fuel trim bank 2", trim},
		{0x09, "long term fuel trim bank 2", trim},
		{0x0a, "fuel pressure (gauge)", whole("kPa", 1, 3, 1, 0)},
		{0x0b, "intake manifold absolute pressure", whole("kPa", 1, 1, 1, 0)},
		{0x0d, "vehicle speed", whole("km/h", 1, 1, 1, 0)},
		{0x0e, "timing advance", whole("°", 1, 1, 2, -64)},
		{0x0f, "intake air temperature", celsius},
		{0x11, "throttle position", percent},
		{0x2c, "commanded exhaust gas recirculation", percent},
		{0x2d, "exhaust gas recirculation error", trim},
		{0x2e, "commanded evaporative purge", percent},
		{0x2f, "fuel tank level", percent},
		{0x30, "warm-ups since codes cleared", whole("1", 1, 1, 1, 0)},
		{0x33, "barometric pressure", whole("kPa", 1, 1, 1, 0)},
		{0x45, "relative throttle position", percent},
		{0x46, "ambient air temperature", celsius},
		{0x47, "absolute throttle position B", percent},
		{0x48, "absolute throttle position C", percent},
		{0x49, "accelerator pedal position D", percent},
		{0x4a, "accelerator pedal position E", percent},
		{0x4b, "accelerator pedal position F", percent},
		{0x4c, "commanded throttle actuator", percent},
		{0x52, "ethanol in fuel", percent},
		{0x5a, "relative accelerator pedal position", percent},
		{0x5b, "hybrid battery remaining life", percent},
		{0x5c, "engine oil temperature", celsius},
		{0x61, "demanded engine torque", torque},
		{0x62, "actual engine torque", torque},
	} {
		number(t, r.p, r.name, r.s)
	}
}

func doubles(t *[256]Item) {
	signed := whole("Pa", 2, 1, 4, 0)
	signed.Signed = true
	for _, r := range []struct {
		p    PID
		name string
		s    Scaling
	}{
		{0x0c, "engine speed", whole("rpm", 2, 1, 4, 0)},
		{0x10, "mass air flow", whole("g/s", 2, 1, 100, 0)},
		{0x1f, "run time since start", whole("s", 2, 1, 1, 0)},
		{0x21, "distance with warning lamp on", whole("km", 2, 1, 1, 0)},
		{0x22, "fuel rail pressure relative to manifold", whole("kPa", 2, 79, 1000, 0)},
		{0x23, "fuel rail pressure (gauge)", whole("kPa", 2, 10, 1, 0)},
		{0x31, "distance since codes cleared", whole("km", 2, 1, 1, 0)},
		{0x32, "evaporative system vapour pressure", signed},
		{0x3c, "catalyst temperature bank 1 sensor 1", exhaust},
		{0x3d, "catalyst temperature bank 2 sensor 1", exhaust},
		{0x3e, "catalyst temperature bank 1 sensor 2", exhaust},
		{0x3f, "catalyst temperature bank 2 sensor 2", exhaust},
		{0x42, "control unit voltage", whole("V", 2, 1, 1000, 0)},
		{0x43, "absolute load", whole("%", 2, 100, 255, 0)},
		{0x44, "commanded lambda", lambda},
		{0x4d, "time with warning lamp on", whole("min", 2, 1, 1, 0)},
		{0x4e, "time since codes cleared", whole("min", 2, 1, 1, 0)},
		{0x53, "absolute evaporative system vapour pressure", whole("kPa", 2, 1, 200, 0)},
		{0x54, "evaporative system vapour pressure, wide", whole("Pa", 2, 1, 1, -32767)},
		{0x59, "fuel rail absolute pressure", whole("kPa", 2, 10, 1, 0)},
		{0x5d, "fuel injection timing", whole("°", 2, 1, 128, -210)},
		{0x5e, "engine fuel rate", whole("L/h", 2, 1, 20, 0)},
		{0x63, "engine reference torque", whole("N·m", 2, 1, 1, 0)},
	} {
		number(t, r.p, r.name, r.s)
	}
}

// oxygenSensors is how many sensors have items of their own.
const oxygenSensors = 8

// oxygen enters the items that repeat for each sensor. How the sensors are
// numbered on banks depends on which of items 13 and 1D the vehicle has, so the
// channels keep the bare number.
func oxygen(t *[256]Item) {
	volts := whole("V", 1, 1, 200, 0)
	wide := whole("V", 2, 8, 65536, 0)
	pump := whole("mA", 2, 1, 256, -128)
	used := trim
	used.Unused = true
	for i := range oxygenSensors {
		name := fmt.Sprintf("oxygen sensor %d", i+1)
		t[0x14+i] = Item{Name: name, Length: 2, Values: []Scaling{volts.at(0, name+" voltage"), used.at(1, name+" short term fuel trim")}}
		t[0x24+i] = Item{Name: name, Length: 4, Values: []Scaling{lambda.at(0, name+" lambda"), wide.at(2, name+" wide voltage")}}
		t[0x34+i] = Item{Name: name, Length: 4, Values: []Scaling{lambda.at(0, name+" lambda"), pump.at(2, name+" pump current")}}
	}
}

func torques(t *[256]Item) {
	for i, banks := range [][2]int{{1, 3}, {1, 3}, {2, 4}, {2, 4}} {
		term := [...]string{"short", "long"}[i%2]
		name := term + " term secondary oxygen sensor trim"
		t[0x55+i] = Item{Name: name, Length: 2, Values: []Scaling{
			trim.at(0, fmt.Sprintf("%s bank %d", name, banks[0])), trim.at(1, fmt.Sprintf("%s bank %d", name, banks[1])),
		}}
	}
	it := Item{Name: "engine torque points", Length: 5}
	it.Values = append(it.Values, torque.at(0, "engine torque at idle"))
	for i := 1; i <= 4; i++ {
		it.Values = append(it.Values, torque.at(i, fmt.Sprintf("engine torque at point %d", i)))
	}
	t[0x64] = it
}

// others enters what is no number, and items whose length alone is kept.
func others(t *[256]Item) {
	for p := 0; p < 256; p += 32 {
		t[p] = Item{Name: fmt.Sprintf("supported data items %02X to %02X", p+1, p+32), Length: 4, Kind: Support}
	}
	t[0x01] = Item{Name: "monitors since codes cleared", Length: 4, Kind: Monitors}
	t[0x41] = Item{Name: "monitors in this drive cycle", Length: 4, Kind: Monitors}
	t[0x02] = Item{Name: "code that stored the freeze frame", Length: 2, Kind: FrozenBy}
	t[0x03] = Item{Name: "state of the fuel systems", Length: 2, Kind: FuelState}
	for _, r := range []struct {
		p      PID
		length int
		name   string
	}{
		{0x12, 1, "commanded secondary air"},
		{0x13, 1, "oxygen sensors present, two banks"},
		{0x1c, 1, "requirements that the vehicle meets"},
		{0x1d, 1, "oxygen sensors present, four banks"},
		{0x1e, 1, "auxiliary input"},
		{0x4f, 4, "largest values of lambda, oxygen sensor voltage and current, manifold pressure"},
		{0x50, 4, "largest value of mass air flow"},
		{0x51, 1, "fuel type"},
		{0x5f, 1, "emission requirements of the design"},
		{0x65, 2, "auxiliary inputs and outputs supported"},
		{0x66, 5, "mass air flow, two sensors"},
		{0x67, 3, "engine coolant temperature, two sensors"},
		{0x68, 7, "intake air temperature, several sensors"},
		{0x69, 7, "exhaust gas recirculation, commanded and error"},
		{0x6a, 5, "diesel intake air flow control"},
		{0x6b, 5, "exhaust gas recirculation temperature"},
		{0x6c, 5, "throttle actuator control"},
		{0x6d, 6, "fuel pressure control"},
		{0x6e, 5, "injection pressure control"},
		{0x6f, 3, "compressor inlet pressure"},
		{0x70, 9, "boost pressure control"},
		{0x71, 5, "variable geometry turbine control"},
		{0x72, 5, "wastegate control"},
		{0x73, 5, "exhaust pressure"},
		{0x74, 5, "turbocharger speed"},
		{0x75, 7, "turbocharger temperature A"},
		{0x76, 7, "turbocharger temperature B"},
		{0x77, 5, "charge air cooler temperature"},
		{0x78, 9, "exhaust gas temperature bank 1"},
		{0x79, 9, "exhaust gas temperature bank 2"},
		{0x7a, 7, "particulate filter A"},
		{0x7b, 7, "particulate filter B"},
		{0x7c, 9, "particulate filter temperature"},
		{0x7d, 1, "control area for nitrogen oxides"},
		{0x7e, 1, "control area for particulates"},
		{0x7f, 13, "engine run time"},
	} {
		t[r.p] = Item{Name: r.name, Length: r.length, Kind: Opaque}
	}
}
