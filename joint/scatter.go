package joint

import "elbowroom/guide"

// Scatter is how far the preload of equal fasteners, tightened in the same
// manner, lies from its mean: ± a share, or a range of such shares where the
// source gives one. Sources differ; the source stays with the number.
type Scatter struct {
	Source string
	Method string
	Least  float64
	Most   float64 // equal to Least where the source gives one number
}

// Sources of the scatter.
const (
	nasaGuide    = "NASA RP-1228"
	nasaStandard = "NASA-STD-5020 Table 3"
	machinery    = "Machinery's Handbook"
	vdi1986      = "VDI 2230:1986"
)

// Scatters are published values, each as quoted from the source it names.
var Scatters = []Scatter{
	{nasaGuide, "torque wrench, unlubricated bolts", 0.35, 0.35},
	{nasaGuide, "torque, cadmium-plated bolts", 0.30, 0.30},
	{nasaGuide, "torque, lubricated bolts", 0.25, 0.25},
	{nasaGuide, "hydraulic tensioners", 0.15, 0.15},
	{nasaGuide, "preload indicating washers", 0.10, 0.10},
	{nasaGuide, "ultrasonic", 0.10, 0.10},
	{nasaGuide, "bolt elongation", 0.05, 0.05},
	{nasaGuide, "instrumented bolts", 0.05, 0.05},
	{nasaStandard, "bolt elongation", 0.10, 0.10},
	{nasaStandard, "turn of nut", 0.25, 0.25},
	{nasaStandard, "torque wrench lubricated", 0.25, 0.25},
	{nasaStandard, "torque wrench unlubricated", 0.35, 0.35},
	{machinery, "by feel", 0.35, 0.35},
	{machinery, "torque wrench", 0.25, 0.25},
	{machinery, "turn-of-nut", 0.15, 0.15},
	{machinery, "preload indicating washer", 0.10, 0.10},
	{machinery, "yield-point sensing", 0.08, 0.08},
	{machinery, "strain gauge", 0.01, 0.01},
	{machinery, "ultrasonic", 0.01, 0.01},
	{vdi1986, "yield or angle controlled", 0.05, 0.12},
	{vdi1986, "torque, trial-determined", 0.17, 0.23},
	{vdi1986, "torque, friction estimated", 0.23, 0.28},
	{vdi1986, "power driver", 0.26, 0.43},
}

// Rows of Scatters that stand for what a hand with a torque wrench does.
var (
	dryScatter   = Scatters[0]
	oiledScatter = Scatters[2]
	angleScatter = Scatters[19]
)

// ScatterOf returns the scatter of tightening by hand with a torque wrench:
// ±25 % oiled, ±35 % otherwise, less by torque and angle.
func ScatterOf(s guide.State, angled bool) Scatter {
	switch {
	case angled:
		return angleScatter
	case s == guide.Oiled:
		return oiledScatter
	}
	return dryScatter
}

// Spread returns the least and the most preload about a nominal one, with the
// scatter Γ of the manner of tightening and the permissible deviation t of the
// wrench: (1 ± t)(1 ± Γ)·F (NASA-STD-5020, equations 3 and 4 without the loss
// from relaxation).
func (s Scatter) Spread(nominal Newtons, deviation float64) (least, most Newtons) {
	return nominal * Newtons((1-deviation)*(1-s.Most)), nominal * Newtons((1+deviation)*(1+s.Most))
}
