package joint

import (
	"strconv"
	"strings"
)

// Strength is what a property class stands.
type Strength struct {
	Class   string
	Yield   Megapascals // Rp0.2 or ReL, least
	Tensile Megapascals // Rm, least
	Proof   Megapascals // Sp; 0 where the standard gives none here
}

// thick is the diameter above which class 8.8 is a little stronger, ISO 898-1.
const thick Millimetres = 16

// Alloy and carbon steel, ISO 898-1, least values; 8.8 up to M16.
var steel = map[string]Strength{
	"8.8":  {"8.8", 640, 800, 580},
	"9.8":  {"9.8", 720, 900, 650},
	"10.9": {"10.9", 940, 1040, 830},
	"12.9": {"12.9", 1100, 1220, 970},
}

// steel88Thick is class 8.8 above M16, ISO 898-1.
var steel88Thick = Strength{"8.8", 660, 830, 600}

// Stainless steel, ISO 3506-1, by the second part of "A2-70", least values.
var stainless = map[string]Strength{
	"50": {"50", 210, 500, 0},
	"70": {"70", 450, 700, 0},
	"80": {"80", 600, 800, 0},
}

// StrengthOf returns the strength of a property class at a diameter and
// whether the class is known: "8.8", "10.9", "A2-70", and the classes 4.6 to
// 6.8 by the rule of their name (first figure × 100 MPa, second the share of
// it at yield; ISO 898-1 clause 5).
func StrengthOf(class string, d Millimetres) (Strength, bool) {
	if s, ok := steel[class]; ok {
		if class == "8.8" && d > thick {
			s = steel88Thick
		}
		return s, true
	}
	if grade, level, ok := strings.Cut(class, "-"); ok && len(grade) == 2 && grade[0] == 'A' {
		s, known := stainless[level]
		s.Class = class
		return s, known
	}
	switch class {
	case "4.6", "4.8", "5.6", "5.8", "6.8":
		first, _ := strconv.Atoi(class[:1])
		second, _ := strconv.Atoi(class[2:])
		rm := Megapascals(first * 100)
		return Strength{class, rm * Megapascals(second) / 10, rm, 0}, true
	}
	return Strength{}, false
}

// ProofLoad returns As · Sp, 0 where no proof stress is known (ISO 898-1).
func (s Strength) ProofLoad(t Thread) Newtons {
	return Newtons(float64(t.StressArea()) * float64(s.Proof))
}

// UltimateLoad returns the least breaking load As · Rm (ISO 898-1).
func (s Strength) UltimateLoad(t Thread) Newtons {
	return Newtons(float64(t.StressArea()) * float64(s.Tensile))
}
