package suspect

import "elbowroom/guide"

// Belief is what is believed of a case.
type Belief struct {
	Suspects []Suspect `json:"suspects"`        // likeliest first; not listed among them
	Fixed    float64   `json:"fixed"`           // share of "nothing is wrong any more", after repairs
	Worlds   []World   `json:"worlds"`          // what may be wrong now, likeliest first
	Combined *Combined `json:"combined"`        // whether worlds of several faults were looked at, and why
	Signs    []Sign    `json:"signs"`           // everything that spoke, in order
	Matches  []Match   `json:"matches"`         // words of the complaint, for a person to tick or untick
	Swings   []Swing   `json:"swings"`          // assumptions that matter, the one that moves most first
	Notes    []string  `json:"notes,omitempty"` // what was left out or replaced, and why
}

// Suspect is a fault with its present share.
type Suspect struct {
	Fault    guide.ID `json:"fault"` // Unlisted for what the guide does not list
	Name     string   `json:"name"`
	On       guide.ID `json:"on,omitempty"`
	Share    float64  `json:"share"` // probability that the fault is present now
	Low      float64  `json:"low"`   // lowest and highest share with any one group of assumptions at its ends
	High     float64  `json:"high"`
	Prior    float64  `json:"prior"` // share before anything spoke
	For      []Spoke  `json:"for,omitempty"`
	Against  []Spoke  `json:"against,omitempty"`
	Excluded *Spoke   `json:"excluded,omitempty"` // what brought the share down for good
	Repaired bool     `json:"repaired,omitempty"` // taken out by a repair
}

// Spoke is one sign speaking for or against one suspect: the odds of the
// suspect were multiplied by Factor. The factors of a suspect and its odds at
// the start multiply to its odds now, repairs apart.
type Spoke struct {
	Sign    int     `json:"sign"` // index in Belief.Signs
	Factor  float64 `json:"factor"`
	Says    string  `json:"says"` // "T36: right > 10 MΩ"
	Assumed bool    `json:"assumed,omitempty"`
}

// SignSort is the sort of a sign.
type SignSort string

// The sorts of sign.
const (
	ComplaintSign SignSort = "complaint"
	CodeSign      SignSort = "code"
	NoCodeSign    SignSort = "no code"
	VerdictSign   SignSort = "verdict"
	ProofSign     SignSort = "proof"
	RepairDone    SignSort = "repair" // no sign; marks the segments
)

// Sign is one thing that spoke.
type Sign struct {
	Sort    SignSort `json:"sort"`
	Event   int      `json:"event"` // index in Case.Events; -1 for what was known at arrival
	Check   guide.ID `json:"check,omitempty"`
	Says    string   `json:"says"`
	Assumed bool     `json:"assumed,omitempty"` // its odds are not stated by the guide
}

// World is one explanation: the faults that are present now.
type World struct {
	Faults []guide.ID `json:"faults"` // empty when nothing is wrong any more
	Share  float64    `json:"share"`
}

// Combined says why worlds of several faults were looked at, or not.
type Combined struct {
	Most   int     `json:"most"`   // faults in a world
	Factor float64 `json:"factor"` // by how much the best combination explains the signs better than the best single fault
	Needed float64 `json:"needed"` // the factor from which combinations are looked at
	Says   string  `json:"says"`
}

// Match is a sign of the guide found in what the customer said.
type Match struct {
	Sign   string     `json:"sign"`
	Words  string     `json:"words"` // the words that match
	Faults []guide.ID `json:"faults"`
	Is     Answer     `json:"is"` // as a person settled it, or Present when found
}

// Swing says how far a group of assumptions moves the leading suspect.
type Swing struct {
	Group  Group   `json:"group"`
	Weak   float64 `json:"weak"`   // share of the leader with the group at its weak end
	Strong float64 `json:"strong"` // and at its telling end
	Leader bool    `json:"leader"` // at one end another suspect leads
}
