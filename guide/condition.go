package guide

import "time"

// Condition is a state of the machine with finitely many values.
type Condition struct {
	ID      ID       `yaml:",key"`
	Name    string   `yaml:"name"`
	Values  []Value  `yaml:"values"`
	Start   ID       `yaml:"start"`         // value at arrival when nothing else is said
	End     End      `yaml:"end,omitempty"` // what must hold when the visit ends
	Changes []Change `yaml:"changes,omitempty"`
	Note    string   `yaml:"note,omitempty"`
	Source  ID       `yaml:"source,omitempty" ref:"source"`
}

// End says how a condition must stand at the end of a visit: "found" (as it
// was, the default), "any", or the ID of a value.
type End string

// The two ends that are not values.
const (
	AsFound End = "found"
	AnyEnd  End = "any"
)

// Value is one value of a condition and what it demands for as long as it
// lasts.
type Value struct {
	ID       ID     `yaml:",key"`
	Name     string `yaml:"name,omitempty"`
	Fitted   []ID   `yaml:"fitted,omitempty" ref:"item all"` // items that must stay on; "all" for every item
	With     []Req  `yaml:"with,omitempty"`                  // other conditions that must hold
	Forbids  string `yaml:"forbids,omitempty"`               // prohibition in words: "do not crank"
	Cautions []ID   `yaml:"cautions,omitempty" ref:"caution"`
}

// Change moves a condition from one value to another.
type Change struct {
	From        ID            `yaml:"from"`
	To          ID            `yaml:"to"`
	Do          string        `yaml:"do,omitempty"`           // the step in words
	Minutes     time.Duration `yaml:"minutes,omitempty"`      // hands-on
	Wait        time.Duration `yaml:"wait,omitempty"`         // passes by itself; other work may fill it
	WaitUnknown bool          `yaml:"wait-unknown,omitempty"` // only the maker can say how long: the plan stops
	Place       ID            `yaml:"place,omitempty" ref:"place"`
	Needs       []Need        `yaml:"needs,omitempty"`
	With        []Req         `yaml:"with,omitempty"`
	Fitted      []ID          `yaml:"fitted,omitempty" ref:"item all"`
	Tools       []ID          `yaml:"tools,omitempty" ref:"tool"`
	People      int           `yaml:"people,omitempty"`
	Opens       []ID          `yaml:"opens,omitempty" ref:"item"` // items whose fasteners it undoes or tightens: a drain plug
	Uses        []Use         `yaml:"uses,omitempty"`
	By          string        `yaml:"by,omitempty"` // who may do it, where a licence is asked for
	Cautions    []ID          `yaml:"cautions,omitempty" ref:"caution"`
	Note        string        `yaml:"note,omitempty"`
	Source      ID            `yaml:"source,omitempty" ref:"source"`
}
