package circuit_test

import (
	"fmt"

	"elbowroom/circuit"
	"elbowroom/demo"
	"elbowroom/guide"
)

// The feed of the demonstration's fuel pump: what F14 would show if its holder
// had 0.45 Ω more than it should.
func Example() {
	g, err := demo.Guide()
	if err != nil {
		fmt.Println(err)
		return
	}
	variant, err := guide.Parse[guide.Selector]("RHD, B")
	if err != nil {
		fmt.Println(err)
		return
	}
	engine, err := guide.Resolve(g, variant)
	if err != nil {
		fmt.Println(err)
		return
	}
	wiring, err := circuit.Build(engine, "fuel-pump")
	if err != nil {
		fmt.Println(err)
		return
	}
	battery, _ := wiring.At(circuit.Name{Circuit: "fuel-pump", Node: "battery"}, circuit.LoadSide)
	fuse, _ := wiring.At(circuit.Name{Circuit: "fuel-pump", Node: "f14"}, circuit.SupplySide)
	pump, _ := wiring.At(circuit.Name{Circuit: "fuel-pump", Node: "pump"}, circuit.SupplySide)
	path, _ := wiring.Between(battery, fuse)
	holder := path.Spots[len(path.Spots)-1]

	all, err := wiring.Predict(circuit.State{},
		[]circuit.Probe{{At: battery, Against: fuse}, {At: pump, Against: circuit.Reference}},
		[]circuit.Case{{Name: "0.45 Ω in the holder", Inserts: []circuit.Insertion{{Spot: holder, Ohm: 0.45}}}})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range all {
		fmt.Printf("%s: %.2f V from battery + to F14, %.2f V at the pump\n", p.Case.Name, float64(p.Volts[0]), float64(p.Volts[1]))
	}
	// Output:
	// healthy: 0.11 V from battery + to F14, 13.47 V at the pump
	// 0.45 Ω in the holder: 2.71 V from battery + to F14, 10.93 V at the pump
}
