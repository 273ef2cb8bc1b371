package decide

// model is a problem made ready: the proof joined to the checks as the last of
// them, and the rows of each check numbered, so that two worlds in which a
// check behaves alike are told apart from two in which it does not.
type model struct {
	p      *Problem
	proof  int       // index of the proof among tables
	tables []table   // one per check, then the proof
	start  *info     // what is believed at first
	infos  infoTable // every information state met
}

// table is a check, or the proof with outcomes pass and fail.
type table struct {
	act     Action
	chance  [][]float64 // [outcome][world]
	row     []int32     // [world] number of the row; equal rows share a number
	certain []int32     // [world] outcome that is certain, or -1
	once    bool
	sharp   bool      // every row is certain of one outcome
	stale   bool      // some repair may change its row, so that it may be asked anew
	noise   []float64 // by world: entropy of the outcome; nil until asked for
}

const (
	passed = 0
	failed = 1
)

// newModel compiles a validated problem.
func newModel(p *Problem) *model {
	m := &model{p: p, proof: len(p.Checks)}
	m.infos.byHash = map[uint64][]*info{}
	for i := range p.Checks {
		c := &p.Checks[i]
		m.tables = append(m.tables, m.table(c.Action, c.Chance, c.Once))
	}
	m.tables = append(m.tables, m.table(p.Proof.Action, proofRows(p), false))
	m.start = m.intern(m.first(), 1)
	return m
}

func proofRows(p *Problem) [][]float64 {
	pass := make([]float64, len(p.Worlds))
	fail := make([]float64, len(p.Worlds))
	for w := range pass {
		switch {
		case p.Proof.Pass != nil:
			pass[w] = p.Proof.Pass[w]
		case p.Right[w]:
			pass[w] = 1
		}
		fail[w] = 1 - pass[w]
	}
	return [][]float64{pass, fail}
}

func (m *model) table(act Action, chance [][]float64, once bool) table {
	n := len(m.p.Worlds)
	t := table{act: act, chance: chance, row: make([]int32, n), certain: make([]int32, n), once: once, sharp: true}
	seen := map[string]int32{}
	var key []byte
	for w := range n {
		key = key[:0]
		t.certain[w] = -1
		open := 0
		for o := range chance {
			key = appendBits(key, chance[o][w])
			if chance[o][w] > 0 {
				t.certain[w] = int32(o)
				open++
			}
		}
		if open > 1 {
			t.certain[w] = -1
		}
		t.sharp = t.sharp && t.certain[w] >= 0
		id, ok := seen[string(key)]
		if !ok {
			id = int32(len(seen))
			seen[string(key)] = id
		}
		t.row[w] = id
	}
	for i := range m.p.Repairs {
		for w, to := range m.p.Repairs[i].To {
			t.stale = t.stale || t.row[w] != t.row[to]
		}
	}
	return t
}

// first is the belief before anything was done.
func (m *model) first() belief {
	var b belief
	for w, x := range m.p.Worlds {
		if x > 0 {
			b.world = append(b.world, int32(w))
			b.p = append(b.p, x)
		}
	}
	b.scale()
	return b
}
