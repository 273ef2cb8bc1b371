package estimate

import (
	"math"
	"slices"
	"time"
)

// Record is one time that was measured.
type Record struct {
	Key    string // of the operation: the same key is the same operation
	Person string
	Job    string // the stay of one machine
	Guide  time.Duration
	Took   time.Duration
}

// Priors say how far times differ before anything was measured: standard
// deviations of logarithms, so that 0.15 is about 15 %.
type Priors struct {
	Shop    float64 // the whole shop from the guides
	Guide   float64 // what the guide says of one operation from the truth
	Built   float64 // a time that is built up, instead of Guide
	Person  float64 // one person from another
	Machine float64 // one machine from another: rust, dirt, earlier work
	Each    float64 // the same operation from one time to the next
	// Worth is how many records the scale of all this counts for.
	Worth float64
}

// UsualPriors are ours: no published values were found for engine bays. They
// give a single operation a factor of about two between a good day and a bad
// one, and a visit of many about a third more than its average in one case of
// ten.
var UsualPriors = Priors{Shop: 0.10, Guide: 0.20, Built: 0.45, Person: 0.15, Machine: 0.15, Each: 0.30, Worth: 20}

// maxUnknowns bounds the operations, persons and jobs that are learned at
// once; records that bring in more are left out, oldest first.
const maxUnknowns = 600

// Norm is what was learned: a joint normal distribution of how far the
// shop, every person and every operation lie from the guide, in logarithms. The
// zero Norm has learned nothing and is not ready; make one with Learn.
type Norm struct {
	priors  Priors
	ops     map[string]int // index of the unknown
	persons map[string]int
	counts  map[string]int // records of an operation
	mean    []float64
	cov     [][]float64
	scale   float64 // of all variances, learned
	used    int
}

// Learn works out what records say, newest last. Records without a time or
// without minutes of the guide are left out. The step is conjugate: normal
// unknowns, normal errors, and one unknown scale of all variances with an
// inverse gamma prior, so that the result does not depend on the order.
func Learn(p Priors, records []Record) *Norm {
	n := &Norm{priors: p, ops: map[string]int{}, persons: map[string]int{}, counts: map[string]int{}, scale: 1}
	jobs := map[string]int{}
	size := 1 // the shop
	var rows []row
	for _, r := range slices.Backward(records) {
		if r.Took <= 0 || r.Guide <= 0 {
			continue
		}
		if size+3 > maxUnknowns {
			break
		}
		var w row
		w.op = index(n.ops, r.Key, &size)
		w.person = index(n.persons, r.Person, &size)
		w.job = index(jobs, r.Job, &size)
		w.y = math.Log(float64(r.Took)/float64(r.Guide)) + n.total()/2
		rows = append(rows, w)
		n.counts[r.Key]++
	}
	n.used = len(rows)
	n.solve(rows, jobs, size)
	return n
}

// row is one record among the unknowns; -1 is none.
type row struct {
	op, person, job int
	y               float64
}

// at lists the unknowns of the record.
func (w row) at() []int {
	list := []int{0}
	for _, i := range []int{w.op, w.person, w.job} {
		if i >= 0 {
			list = append(list, i)
		}
	}
	return list
}

func index(m map[string]int, key string, size *int) int {
	if key == "" {
		return -1
	}
	i, ok := m[key]
	if !ok {
		i = *size
		m[key] = i
		*size++
	}
	return i
}

// total is the variance of one logarithm before anything was measured.
func (n *Norm) total() float64 {
	p := n.priors
	return p.Shop*p.Shop + p.Guide*p.Guide + p.Person*p.Person + p.Machine*p.Machine + p.Each*p.Each
}

// solve sets the posterior from the precision matrix.
func (n *Norm) solve(rows []row, jobs map[string]int, size int) {
	p := n.priors
	prec := make([][]float64, size)
	for i := range prec {
		prec[i] = make([]float64, size)
	}
	prec[0][0] = 1 / (p.Shop * p.Shop)
	for _, i := range n.ops {
		prec[i][i] = 1 / (p.Guide * p.Guide)
	}
	for _, i := range n.persons {
		prec[i][i] = 1 / (p.Person * p.Person)
	}
	for _, i := range jobs {
		prec[i][i] = 1 / (p.Machine * p.Machine)
	}
	each := p.Each * p.Each
	right, squares := make([]float64, size), 0.0
	for _, w := range rows {
		for _, i := range w.at() {
			for _, k := range w.at() {
				prec[i][k] += 1 / each
			}
			right[i] += w.y / each
		}
		squares += w.y * w.y / each
	}
	n.cov = invert(prec)
	n.mean = make([]float64, size)
	explained := 0.0
	for i := range n.mean {
		for k := range right {
			n.mean[i] += n.cov[i][k] * right[k]
		}
		explained += n.mean[i] * right[i]
	}
	// Inverse gamma with shape Worth/2+1 and mean 1, updated.
	n.scale = (p.Worth/2 + (squares-explained)/2) / (p.Worth/2 + float64(len(rows))/2)
}

// Used returns how many records were learned from.
func (n *Norm) Used() int { return n.used }

// Basis says what minutes rest on.
type Basis string

// The bases.
const (
	Measured  Basis = "measured here"
	FromGuide Basis = "from the guide"
	BuiltUp   Basis = "built up from what holds it"
	Unknown   Basis = "not known"
)

// Expected is what is expected of one operation.
type Expected struct {
	Spread       // its own part of the spread
	Basis  Basis // what it rests on
	Times  int   // records of this operation
	Guide  time.Duration
	Common float64 // standard deviation of the logarithm that all operations of a visit share
}

// Expect says how long an operation of the guide takes a person ("" for
// nobody in particular). Basis is Measured once the operation itself was
// recorded; records of others still tell of the person and the shop.
func (n *Norm) Expect(key, person string, guide time.Duration) Expected {
	e := Expected{Basis: FromGuide, Times: n.counts[key], Guide: guide}
	if guide <= 0 {
		return Expected{Basis: Unknown}
	}
	if e.Times > 0 {
		e.Basis = Measured
	}
	return n.expect(e, key, person, n.priors.Guide)
}

// ExpectBuilt is Expect for an operation whose minutes were built up.
func (n *Norm) ExpectBuilt(key, person string, built time.Duration) Expected {
	e := n.Expect(key, person, built)
	if e.Basis == FromGuide {
		e.Basis = BuiltUp
		e = n.expect(e, key, person, n.priors.Built)
	}
	return e
}

func (n *Norm) expect(e Expected, key, person string, ownSD float64) Expected {
	p := n.priors
	shared := []int{0}
	sharedVar := p.Machine * p.Machine
	if i, ok := n.persons[person]; ok {
		shared = append(shared, i)
	} else {
		sharedVar += p.Person * p.Person
	}
	at, own := shared, p.Each*p.Each
	if i, ok := n.ops[key]; ok {
		at = append(slices.Clone(shared), i)
	} else {
		own += ownSD * ownSD
	}
	mean := 0.0
	for _, i := range at {
		mean += n.mean[i]
	}
	sharedVar = (sharedVar + n.variance(shared)) * n.scale
	all := (p.Machine*p.Machine+own)*n.scale + n.variance(at)*n.scale
	if _, ok := n.persons[person]; !ok {
		all += p.Person * p.Person * n.scale
	}
	e.Common = math.Sqrt(sharedVar)
	e.Sigma = math.Sqrt(max(all-sharedVar, p.Each*p.Each*n.scale))
	prior := p.Shop*p.Shop + ownSD*ownSD + p.Person*p.Person + p.Machine*p.Machine + p.Each*p.Each
	now := e.Common*e.Common + e.Sigma*e.Sigma
	e.Mean = duration(float64(e.Guide) * math.Exp(mean-prior/2+now/2))
	return e
}

// variance is that of the sum of some unknowns.
func (n *Norm) variance(at []int) (v float64) {
	for _, i := range at {
		for _, k := range at {
			v += n.cov[i][k]
		}
	}
	return v
}

// Person returns by which factor a person's times lie above those of the shop,
// with the standard deviation of its logarithm; 1 for somebody unknown.
func (n *Norm) Person(name string) (factor, sigma float64) {
	i, ok := n.persons[name]
	if !ok {
		return 1, n.priors.Person
	}
	return math.Exp(n.mean[i]), math.Sqrt(n.cov[i][i] * n.scale)
}

// invert inverts a symmetric positive definite matrix by Cholesky.
func invert(a [][]float64) [][]float64 {
	n := len(a)
	l := make([][]float64, n)
	for i := range l {
		l[i] = make([]float64, n)
		for k := 0; k <= i; k++ {
			s := a[i][k]
			for m := range k {
				s -= l[i][m] * l[k][m]
			}
			if i == k {
				l[i][i] = math.Sqrt(s)
			} else {
				l[i][k] = s / l[k][k]
			}
		}
	}
	inv := make([][]float64, n)
	for c := range inv {
		inv[c] = column(l, c)
	}
	return inv
}

// column solves for one column of the inverse.
func column(l [][]float64, c int) []float64 {
	n := len(l)
	x := make([]float64, n)
	for i := c; i < n; i++ {
		s := 0.0
		if i == c {
			s = 1
		}
		for m := c; m < i; m++ {
			s -= l[i][m] * x[m]
		}
		x[i] = s / l[i][i]
	}
	for i := n - 1; i >= 0; i-- {
		s := x[i]
		for m := i + 1; m < n; m++ {
			s -= l[m][i] * x[m]
		}
		x[i] = s / l[i][i]
	}
	return x
}
