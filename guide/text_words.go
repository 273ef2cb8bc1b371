package guide

// Allowed lists the words that the type knows.
func (Class) Allowed() []string { return words(Classes) }

// Allowed lists the words that the type knows.
func (Side) Allowed() []string { return words([]Side{Left, Right}) }

// Allowed lists the words that the type knows.
func (Sight) Allowed() []string { return words([]Sight{InSight, ByMirror, ByFeel}) }

// Allowed lists the words that the type knows.
func (View) Allowed() []string {
	return words([]View{FromAbove, FromBelow, FromLeft, FromRight, FromFront, FromRear})
}

// Allowed lists the words that the type knows.
func (Form) Allowed() []string { return words([]Form{Box, Cylinder, Path}) }

// Allowed lists the words that the type knows.
func (LawForm) Allowed() []string {
	return words([]LawForm{NTCBeta, SteinhartHart, Platinum, Linear, Ratiometric, CopperLaw, TableLaw, TypeK})
}

// Allowed lists the words that the type knows.
func (NodeSort) Allowed() []string {
	return words([]NodeSort{SupplyNode, FuseNode, RelayNode, GroundNode, SpliceNode, InlineNode, PinNode, LoadNode, SensingNode})
}

// Allowed lists the words that the type knows.
func (State) Allowed() []string { return words([]State{Dry, Oiled, Locked}) }

// Allowed lists the words that the type knows.
func (Known) Allowed() []string { return words([]Known{Given, Unknown, NotApplicable, OutOfScope}) }

// Allowed lists the words that the type knows.
func (Reuse) Allowed() []string { return words([]Reuse{Reusable, SingleUse}) }

// Check returns an error when the verb is not a single word.
func (v Verb) Check() error { return ID(v).Check() }

func words[S ~string](vs []S) []string {
	out := make([]string, len(vs))
	for i, v := range vs {
		out[i] = string(v)
	}
	return out
}
