package vet

import (
	"fmt"
	"slices"
	"strings"

	"elbowroom/guide"
	"elbowroom/joint"
	"elbowroom/quantity"
)

// newtonMetres is the unit that torques are compared in.
const newtonMetres = "N·m"

// eachJoint visits every joint where it is written: at a kind or at an item.
func (e *examiner) eachJoint(visit func(path string, name string, j *guide.Joint)) {
	for i := range e.g.Kinds {
		k := &e.g.Kinds[i]
		for n := range k.Joints {
			visit(nth(within("kinds", k.ID), "joints", n), k.Name, &k.Joints[n])
		}
	}
	for i := range e.g.Items {
		it := &e.g.Items[i]
		for n := range it.Joints {
			visit(nth(within("items", it.ID), "joints", n), e.named(it.ID), &it.Joints[n])
		}
	}
}

// threaded reports whether the joint is one that somebody tightens.
func threaded(j *guide.Joint) bool {
	return j.Thread != "" || joint.Tightened(j.What)
}

func lookTorqueUnknown(e *examiner) {
	e.eachJoint(func(path, name string, j *guide.Joint) {
		switch {
		case j.Torque == guide.Unknown:
			e.report(path, j.String(), "nobody has written down the torque of "+name,
				"find it in the maker's instructions and write it with its source; until then the torque sheet leaves it open")
		case j.Torque == "" && len(j.Stages) == 0 && threaded(j):
			e.report(path, j.String(), "nothing is said about the torque of "+name,
				"write the torque, or torque unknown, torque not applicable, torque out of scope")
		}
	})
}

// torques returns the torques of the stages in N·m, and whether an angle
// follows, after which the torque says little about the preload.
func torques(j *guide.Joint) (out []quantity.Value, angled bool) {
	for _, s := range j.Stages {
		if s.Angle != 0 {
			angled = true
		}
		if v, err := s.Torque.In(newtonMetres); err == nil {
			out = append(out, v)
		}
	}
	return out, angled
}

func lookTorqueImplausible(e *examiner) {
	e.eachJoint(func(path, name string, j *guide.Joint) {
		f, err := joint.Of(j)
		if err != nil {
			return
		}
		b, ok := joint.Plausible(f)
		if !ok {
			return
		}
		all, angled := torques(j)
		for i, v := range all {
			last := i == len(all)-1
			n := joint.NewtonMetres(v.Number)
			switch {
			case n > b.High:
				e.report(path, j.String(), fmt.Sprintf("%s on %s is above the %s that this fastener can stand (%s)", v, name, rounded(b.High), b.Rule),
					"check the value and its unit"+unsaid(j))
			case n < b.Low && last && !angled:
				e.report(path, j.String(), fmt.Sprintf("%s on %s is below %s and would leave this fastener nearly idle (%s)", v, name, rounded(b.Low), b.Rule),
					"check the value and its unit; if it is right, say what makes it so in a note")
			}
		}
	})
}

// unsaid names what would widen the band, if it has not been written.
func unsaid(j *guide.Joint) string {
	switch {
	case j.Class == "" && j.State == "":
		return "; if it is right, write the property class and whether the threads are dry or oiled"
	case j.Class == "":
		return "; if it is right, write the property class"
	case j.State == "":
		return "; if it is right, write whether the threads are dry or oiled"
	}
	return ", or the class and state of the fasteners"
}

// rounded prints a torque to three figures.
func rounded(n joint.NewtonMetres) string { return fmt.Sprintf("%.3g N·m", n) }

func lookThread(e *examiner) {
	e.eachJoint(func(path, name string, j *guide.Joint) {
		if !strings.HasPrefix(j.Thread, "M") {
			return
		}
		if _, err := joint.ParseThread(j.Thread); err != nil {
			e.report(path, j.Thread, fmt.Sprintf("the thread of %s cannot be judged: %v", name, err), "write diameter and pitch, such as M12x1.5")
		}
	})
}

func lookEngagement(e *examiner) {
	e.eachJoint(func(path, name string, j *guide.Joint) {
		f, err := joint.Of(j)
		all, _ := torques(j)
		if err != nil || len(all) == 0 || len(j.Lengths) == 0 || !strings.Contains(j.Into, "alumin") {
			return
		}
		need := joint.NeededInAluminium(f.Thread, joint.NewtonMetres(all[len(all)-1].Number), f.Friction)
		if length := slices.Min(j.Lengths); length < float64(need) {
			e.report(path, j.String(), fmt.Sprintf("%s on %s asks for %.1f mm of thread in aluminium and the screw is %g mm long in all "+
				"(2 d at the breaking load of class 8.8, 2.5 d for fine threads, scaled to the preload)", all[len(all)-1], name, need, length),
				"check length and torque; with a steel thread insert say so: into steel insert")
		}
	})
}

// wrenches are the torque tools of the guide and those at hand.
func (e *examiner) wrenches() []Wrench {
	var out []Wrench
	torque := func(v quantity.Value) bool { return v.Dimension() == quantity.Torque }
	for _, t := range e.g.Tools {
		if torque(t.Lowest) && torque(t.Highest) {
			out = append(out, Wrench{t.Name, t.Lowest, t.Highest})
		}
	}
	for _, w := range e.options.Wrenches {
		if torque(w.Lowest) && torque(w.Highest) {
			out = append(out, w)
		}
	}
	return out
}

func lookNoWrench(e *examiner) {
	have := e.wrenches()
	if len(have) == 0 {
		return
	}
	e.eachJoint(func(path, name string, j *guide.Joint) {
		all, _ := torques(j)
		for _, v := range all {
			if !slices.ContainsFunc(have, func(w Wrench) bool { return w.Lowest.SI() <= v.SI() && v.SI() <= w.Highest.SI() }) {
				e.report(path, j.String(), fmt.Sprintf("no torque wrench of the tool list reaches %s on %s: %s", v, name, ranges(have)),
					"add the wrench that is used, or check the value")
			}
		}
	})
}

func ranges(have []Wrench) string {
	words := make([]string, len(have))
	for i, w := range have {
		words[i] = fmt.Sprintf("%s %s to %s", w.Name, w.Lowest, w.Highest)
	}
	return list(words)
}

// samePlace reports whether two joints describe the same fasteners in the same
// state: a value for oiled threads beside one for dry ones is no conflict.
func samePlace(a, b *guide.Joint) bool {
	return joint.SamePlace(a, b) && (a.State == b.State || a.State == "" || b.State == "")
}

// tightening prints what a joint says about its torque, "" when nothing.
func tightening(j *guide.Joint) string {
	words := make([]string, len(j.Stages))
	for i, s := range j.Stages {
		words[i] = s.String()
	}
	return strings.TrimSpace(strings.Join(words, " + ") + " " + string(j.State))
}

// together reports whether two facts hold on some variant at once.
func (e *examiner) together(a, b guide.Selector) bool {
	return slices.ContainsFunc(e.views, func(v *view) bool { return v.r.Fits(a) && v.r.Fits(b) })
}

func lookTorqueConflict(e *examiner) {
	pairs := func(path, name string, joints []guide.Joint) {
		for i := range joints {
			for k := range i {
				a, b := &joints[k], &joints[i]
				if len(a.Stages) > 0 && len(b.Stages) > 0 && samePlace(a, b) && tightening(a) != tightening(b) && e.together(a.For, b.For) {
					e.report(nth(path, "joints", i), b.String(), fmt.Sprintf("two torques for the same fasteners of %s: %s and %s", name, tightening(a), tightening(b)),
						"keep the one that is right and put the other under was; for different variants say for which")
				}
			}
		}
	}
	for _, k := range e.g.Kinds {
		pairs(within("kinds", k.ID), k.Name, k.Joints)
	}
	for i := range e.g.Items {
		it := &e.g.Items[i]
		pairs(within("items", it.ID), e.named(it.ID), it.Joints)
		if k := e.kinds[it.Kind]; k != nil {
			e.againstKind(it, k)
		}
	}
}

// againstKind reports an item whose fasteners are those of its kind with
// another torque.
func (e *examiner) againstKind(it *guide.Item, k *guide.Kind) {
	for i := range it.Joints {
		for n := range k.Joints {
			a, b := &it.Joints[i], &k.Joints[n]
			if a.Note == "" && a.Was == nil && len(a.Stages) > 0 && len(b.Stages) > 0 && samePlace(a, b) &&
				tightening(a) != tightening(b) && e.together(a.For, b.For) {
				e.report(nth(within("items", it.ID), "joints", i), a.String(),
					fmt.Sprintf("%s says %s, its kind %s says %s", e.named(it.ID), tightening(a), k.ID, tightening(b)),
					"correct one of them; if the item really differs, say why in a note")
			}
		}
	}
}

func lookSingleUse(e *examiner) {
	e.eachJoint(func(path, name string, j *guide.Joint) {
		if j.Reuse == guide.SingleUse && j.Part == "" && !e.renewed(path) {
			e.report(path, j.String(), "single-use fasteners on "+name+", and no part replaces them",
				"name the part: part ID, or let the way use it")
		}
	})
}

// renewed reports whether some way of the joint's item uses a single-use part.
func (e *examiner) renewed(path string) bool {
	group := strings.SplitN(path, ".", 3)
	var uses []guide.Use
	add := func(ways []guide.Way) {
		for _, w := range ways {
			uses = append(uses, w.Uses...)
		}
	}
	if it := e.items[guide.ID(group[1])]; it != nil && group[0] == "items" {
		uses = append(uses, it.Parts...)
		add(e.waysOf(it))
	}
	if k := e.kinds[guide.ID(group[1])]; k != nil && group[0] == "kinds" {
		uses = append(uses, k.Parts...)
		add(k.Ways)
	}
	return slices.ContainsFunc(uses, func(u guide.Use) bool { p := e.parts[u.What]; return p != nil && p.SingleUse })
}

func lookAngleReused(e *examiner) {
	e.eachJoint(func(path, name string, j *guide.Joint) {
		if _, angled := torques(j); angled && j.Reuse == guide.Reusable {
			e.report(path, j.String(), "fasteners tightened by angle on "+name+" are said to be reusable",
				"a screw that was turned past its yield point is renewed: write single-use and the part, or say in a note why not")
		}
	})
}

// eachWas visits the superseded values of joints with the joint, and of items
// without one.
func (e *examiner) eachWas(visit func(path, name string, was guide.Was, j *guide.Joint)) {
	e.eachJoint(func(path, name string, j *guide.Joint) {
		for i, w := range j.Was {
			visit(nth(path, "was", i), name, w, j)
		}
	})
	for i := range e.g.Items {
		it := &e.g.Items[i]
		for n, w := range it.Was {
			visit(nth(within("items", it.ID), "was", n), e.named(it.ID), w, nil)
		}
	}
}

func lookSupersededBare(e *examiner) {
	e.eachWas(func(path, name string, was guide.Was, _ *guide.Joint) {
		if was.Reason == "" {
			e.report(path, was.Value, fmt.Sprintf("%s of %s is superseded and nobody says why", was.Value, name), "write reason: whoever finds the old value elsewhere must know which to trust")
		}
	})
}

func lookSupersededInUse(e *examiner) {
	e.eachWas(func(path, name string, was guide.Was, j *guide.Joint) {
		old, err := quantity.Parse(was.Value)
		if j == nil || err != nil {
			return
		}
		all, _ := torques(j)
		if slices.ContainsFunc(all, func(v quantity.Value) bool { c, err := v.Compare(old); return err == nil && c == 0 }) {
			e.report(path, j.String(), fmt.Sprintf("%s on %s is superseded and is still its present value", was.Value, name), "correct the present value, or take it out of was")
		}
	})
}
