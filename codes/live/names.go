package live

import (
	"slices"
	"strings"
	"unicode"

	"elbowroom/span"
)

// Channels returns the name of every channel, in order.
func Channels() []string {
	var names []string
	for _, it := range items {
		for _, s := range it.Values {
			names = append(names, s.Channel)
		}
	}
	slices.Sort(names)
	return slices.Compact(names)
}

// also are other ways in which people and readers name a channel: the
// abbreviations of SAE J1930 and the short forms of the trade. Names that could
// be several channels, such as "fuel rail pressure", are not among them.
var also = map[string]string{
	"ect": "engine coolant temperature", "coolant temperature": "engine coolant temperature", "coolant temp": "engine coolant temperature",
	"engine coolant temp": "engine coolant temperature", "water temperature": "engine coolant temperature",
	"iat": "intake air temperature", "intake air temp": "intake air temperature", "intake temperature": "intake air temperature",
	"eot": "engine oil temperature", "oil temperature": "engine oil temperature", "oil temp": "engine oil temperature", "engine oil temp": "engine oil temperature",
	"aat": "ambient air temperature", "ambient temperature": "ambient air temperature", "ambient air temp": "ambient air temperature",
	"rpm": "engine speed", "engine rpm": "engine speed", "vss": "vehicle speed", "road speed": "vehicle speed",
	"maf": "mass air flow", "mass air flow rate": "mass air flow", "mass airflow": "mass air flow", "air flow rate": "mass air flow",
	"map": "intake manifold absolute pressure", "manifold absolute pressure": "intake manifold absolute pressure",
	"intake manifold pressure": "intake manifold absolute pressure", "manifold pressure": "intake manifold absolute pressure",
	"baro": "barometric pressure", "atmospheric pressure": "barometric pressure", "absolute barometric pressure": "barometric pressure",
	"engine load": "calculated load", "calculated engine load": "calculated load", "calculated load value": "calculated load", "calculated engine load value": "calculated load",
	"tp": "throttle position", "absolute throttle position": "throttle position",
	"spark advance": "timing advance", "ignition timing": "timing advance", "ignition timing advance": "timing advance",
	"stft1": "short term fuel trim bank 1", "stft 1": "short term fuel trim bank 1", "stft bank 1": "short term fuel trim bank 1", "stft b1": "short term fuel trim bank 1",
	"stft2": "short term fuel trim bank 2", "stft 2": "short term fuel trim bank 2", "stft bank 2": "short term fuel trim bank 2", "stft b2": "short term fuel trim bank 2",
	"ltft1": "long term fuel trim bank 1", "ltft 1": "long term fuel trim bank 1", "ltft bank 1": "long term fuel trim bank 1", "ltft b1": "long term fuel trim bank 1",
	"ltft2": "long term fuel trim bank 2", "ltft 2": "long term fuel trim bank 2", "ltft bank 2": "long term fuel trim bank 2", "ltft b2": "long term fuel trim bank 2",
	"control module voltage": "control unit voltage", "module voltage": "control unit voltage", "ecu voltage": "control unit voltage",
	"fuel level": "fuel tank level", "fuel level input": "fuel tank level", "fuel tank level input": "fuel tank level",
	"distance with mil on": "distance with warning lamp on", "distance traveled with mil on": "distance with warning lamp on",
	"distance since dtcs cleared": "distance since codes cleared", "distance since dtc cleared": "distance since codes cleared",
	"run time": "run time since start", "run time since engine start": "run time since start",
	"commanded equivalence ratio": "commanded lambda", "fuel rate": "engine fuel rate",
}

// plain is a name without what readers write differently: case, signs, spaces.
func plain(name string) string {
	words := strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	return strings.Join(words, " ")
}

// byPlain leads from plain names to channels.
var byPlain = func() map[string]string {
	m := map[string]string{}
	for _, c := range Channels() {
		m[plain(c)] = c
	}
	for name, c := range also {
		m[name] = c
	}
	return m
}()

// Channel returns the channel that a name written by a person or a reader
// stands for: its own name in any case, an abbreviation of SAE J1930, or a
// short form of the trade; false when it knows none.
func Channel(name string) (string, bool) {
	c, ok := byPlain[plain(name)]
	return c, ok
}

// NearestChannels returns channels that a name may have been meant for, the
// nearest first. It may as well be another channel altogether.
func NearestChannels(name string) []string { return span.Nearest(plain(name), Channels()) }

// ScalingOf returns how the values of a channel lie in their bytes; of lambda,
// which two items carry, that of the first.
func ScalingOf(channel string) (Scaling, bool) {
	for _, it := range items {
		if s, ok := it.scaling(channel); ok {
			return s, true
		}
	}
	return Scaling{}, false
}
