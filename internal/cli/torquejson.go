package cli

import (
	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/joint"
)

// torqueAnswer is the JSON of torque for a visit or an item.
type torqueAnswer struct {
	Guide      guideRef     `json:"guide" says:"the guide that was used"`
	Machine    *machineRef  `json:"machine,omitempty" says:"the machine, when one was named"`
	Variant    string       `json:"variant,omitempty" says:"the variant"`
	Day        string       `json:"day" says:"on which the tools were looked at"`
	Tasks      []string     `json:"tasks" says:"what the visit is for"`
	Blocked    string       `json:"blocked,omitempty" says:"why there is no plan, and so no joint"`
	Joints     []jointLine  `json:"joints" says:"joints in the order in which they are tightened"`
	Open       []jointLine  `json:"open" says:"joints undone and not tightened in this visit"`
	Bare       []bareLine   `json:"bare" says:"items that go back without a fastener"`
	Tools      []torqueTool `json:"tools" says:"every torque tool that is owned"`
	Exceptions []string     `json:"exceptions" says:"in which respects the machine differs from its variant"`
	Written    string       `json:"written,omitempty" says:"file of the drawing"`
	Deference  string       `json:"deference" says:"what comes before this"`
}

type jointLine struct {
	Number   int             `json:"number" says:"on the sheet, from 1"`
	Step     int             `json:"step,omitempty" says:"step of the plan that tightens it"`
	Undone   int             `json:"undone,omitempty" says:"step of the plan that undoes it"`
	Item     guide.ID        `json:"item" says:"what it holds"`
	Name     string          `json:"name" says:"the same in words"`
	Count    int             `json:"count" says:"how many fasteners"`
	Fastener string          `json:"fastener" says:"count, thread, drive, class and mating material"`
	State    guide.State     `json:"state,omitempty" says:"dry, oiled or thread-locked; absent when nobody has said"`
	Torque   guide.Known     `json:"torque,omitempty" says:"how the torque is known: given, unknown, not applicable or out of scope"`
	Stages   []torqueStage   `json:"stages" says:"stages of tightening"`
	Others   []string        `json:"others" says:"torques for other states of the threads"`
	Pattern  string          `json:"pattern,omitempty" says:"pattern as the guide has it"`
	Form     joint.Form      `json:"form,omitempty" says:"how the places are drawn: circle, grid or row"`
	Places   []torquePlace   `json:"places" says:"places of the scheme, numbered from 1, x and y from 0 to 1, y downwards"`
	Order    []int           `json:"order" says:"places in the order of tightening; empty when none is written down"`
	Renew    bool            `json:"renew" says:"the fasteners are not used again"`
	Reuse    string          `json:"reuse" says:"rule of re-use"`
	Part     string          `json:"part,omitempty" says:"what replaces them"`
	Was      []wasLine       `json:"was" says:"superseded values, never to be used"`
	Source   string          `json:"source,omitempty" says:"who says so"`
	Use      *useLine        `json:"use,omitempty" says:"what the last torque does to the fastener; absent when nothing can be reckoned"`
	Findings []torqueFinding `json:"findings" says:"what is wrong or open"`
}

type torqueStage struct {
	Text    string       `json:"text" says:"the stage as written"`
	Torque  []unitValue  `json:"torque" says:"the torque in every unit, unrounded; empty for an angle"`
	Angle   float64      `json:"angle,omitempty" says:"degrees, turned as written"`
	Use     joint.Use    `json:"use,omitempty" says:"whether a tool serves: serves, overdue, below, above or not known"`
	Tool    string       `json:"tool,omitempty" says:"what to take"`
	Set     string       `json:"set,omitempty" says:"what to set on it"`
	Setting float64      `json:"setting,omitempty" says:"the same in N·m, unrounded"`
	Low     float64      `json:"low,omitempty" says:"least torque at the fastener within the permissible deviation, N·m"`
	High    float64      `json:"high,omitempty" says:"most torque there, N·m"`
	Marks   []string     `json:"marks" says:"the marks on both sides with what they give, where the setting lies between two"`
	Adapter *adapterLine `json:"adapter,omitempty" says:"what stands between wrench and fastener"`
	Would   []string     `json:"would" says:"what would do, when nothing serves"`
}

type unitValue struct {
	Value float64 `json:"value" says:"number"`
	Unit  string  `json:"unit" says:"unit"`
}

type adapterLine struct {
	Arm    float64 `json:"arm" says:"from the handle mark to the square drive, mm; 0 when it does not matter"`
	Reach  float64 `json:"reach" says:"from the square drive to the fastener, mm"`
	Bend   float64 `json:"bend" says:"degrees from straight ahead"`
	Factor float64 `json:"factor" says:"setting over torque, L/(L + E·cos θ)"`
	Own    string  `json:"own,omitempty" says:"adapter of the workshop that was taken"`
}

type torquePlace struct {
	X float64 `json:"x" says:"to the right"`
	Y float64 `json:"y" says:"downwards"`
}

type wasLine struct {
	Value  string `json:"value" says:"the old value"`
	Until  string `json:"until,omitempty" says:"revision or date that ended it"`
	Date   string `json:"date,omitempty" says:"date of that revision"`
	Reason string `json:"reason,omitempty" says:"why"`
	Source string `json:"source,omitempty" says:"where it stood"`
}

type useLine struct {
	Place    joint.Place `json:"place" says:"within, above or below the plausible band, or not known"`
	Low      float64     `json:"low" says:"lower end of the band, N·m; 0 when not known"`
	High     float64     `json:"high" says:"upper end, N·m"`
	Rule     string      `json:"rule,omitempty" says:"how the band was made"`
	Friction []float64   `json:"friction" says:"lowest and highest coefficient taken"`
	Preload  []float64   `json:"preload" says:"N, at the highest and at the lowest friction"`
	Yield    []float64   `json:"yield" says:"the same as shares of the yield point; 0 when not known"`
	Proof    float64     `json:"proof" says:"the higher preload as a share of the proof load; 0 when not known"`
	Nominal  float64     `json:"nominal" says:"N, at the mean friction"`
	Scatter  float64     `json:"scatter" says:"of the preload, ± a share"`
	Source   string      `json:"scatter_source" says:"who says so"`
	Spread   []float64   `json:"spread" says:"N, least and most preload with scatter and wrench"`
	Angled   bool        `json:"angled" says:"an angle follows, which makes the preload"`
	Assumed  bool        `json:"assumed" says:"the class was not given and 8.8 was taken"`
	Needed   float64     `json:"needed" says:"mm of thread needed in the mating material; 0 when none applies"`
	Material string      `json:"material,omitempty" says:"for which material"`
}

type torqueFinding struct {
	Sort app.TorqueFindingSort `json:"sort" says:"what it is about"`
	Says string                `json:"says" says:"what is wrong or open"`
	Do   string                `json:"do" says:"what to do"`
}

type bareLine struct {
	Step   int      `json:"step,omitempty" says:"step of the plan that puts it back"`
	Item   guide.ID `json:"item" says:"the item"`
	Name   string   `json:"name" says:"the same in words"`
	Fixing string   `json:"fixing,omitempty" says:"how it is held"`
}

type torqueTool struct {
	Name      string  `json:"name" says:"the tool"`
	Lowest    string  `json:"lowest" says:"lowest marked value"`
	Highest   string  `json:"highest" says:"full scale"`
	Deviation float64 `json:"deviation" says:"permissible, as a share of the setting"`
	Due       string  `json:"due,omitempty" says:"date of its next check"`
	Overdue   bool    `json:"overdue" says:"it was due before the day"`
	Joints    []int   `json:"joints" says:"numbers of the joints it is taken for"`
}

// threadAnswer is the JSON of torque for a thread by itself.
type threadAnswer struct {
	Text     string          `json:"text" says:"what was asked"`
	Thread   string          `json:"thread,omitempty" says:"the thread; absent for a torque alone"`
	Diameter float64         `json:"diameter,omitempty" says:"mm"`
	Pitch    float64         `json:"pitch,omitempty" says:"mm"`
	Core     float64         `json:"core,omitempty" says:"minor diameter d3, mm"`
	Area     float64         `json:"area,omitempty" says:"stress area, mm²"`
	Low      float64         `json:"low" says:"lower end of the plausible band, N·m; 0 when not known"`
	High     float64         `json:"high" says:"upper end, N·m"`
	Rule     string          `json:"rule,omitempty" says:"how the band was made"`
	Standard float64         `json:"standard,omitempty" says:"torque of VDI 2230 at the mean friction, 90 % of yield, N·m"`
	Preload  float64         `json:"preload,omitempty" says:"that it makes, N"`
	Friction float64         `json:"friction,omitempty" says:"that mean"`
	Stages   []torqueStage   `json:"stages" says:"stages with the tool for each"`
	Use      *useLine        `json:"use,omitempty" says:"what the last torque does; absent without one"`
	Reuse    string          `json:"reuse" says:"rule of re-use"`
	Findings []torqueFinding `json:"findings" says:"what is wrong or open"`
	Written  string          `json:"written,omitempty" says:"file of the drawing"`
}

func torqueJSON(s *app.TorqueSheet, svg string) torqueAnswer {
	out := torqueAnswer{
		Guide:   guideRef{s.Guide.ID, s.Guide.Title, s.Guide.Revision, s.Guide.Date},
		Variant: s.Variant, Day: s.Day, Tasks: some(s.Tasks), Blocked: s.Blocked, Joints: jointLines(s.Joints), Open: jointLines(s.Open),
		Bare: []bareLine{}, Tools: []torqueTool{}, Exceptions: some(s.Exceptions), Written: svg, Deference: s.Deference,
	}
	if m := s.Machine; m != nil {
		out.Machine = &machineRef{m.ID, m.Name, m.Plate}
	}
	for _, b := range s.Bare {
		out.Bare = append(out.Bare, bareLine{b.Step, b.Item.ID, b.Item.Name, b.Fixing})
	}
	for _, t := range s.Tools {
		w := t.Wrench
		out.Tools = append(out.Tools, torqueTool{w.Name, w.Lowest.String(), w.Highest.String(), w.Permissible(), w.Due, t.Overdue, some(t.Lines)})
	}
	return out
}

func jointLines(list []app.TorqueLine) []jointLine {
	out := []jointLine{}
	for i := range list {
		out = append(out, jointJSON(&list[i]))
	}
	return out
}

func jointJSON(l *app.TorqueLine) jointLine {
	out := jointLine{
		Number: l.Number, Step: l.Step, Undone: l.Undone, Item: l.Item.ID, Name: l.Item.Name, Count: l.Joint.Count, Fastener: l.Fastener,
		State: l.Joint.State, Torque: l.Joint.Torque, Stages: []torqueStage{}, Others: some(l.Others), Pattern: l.Joint.Pattern,
		Form: l.Layout.Form, Places: []torquePlace{}, Order: some(l.Layout.Order), Renew: l.Next.Renew, Reuse: l.Next.Says,
		Was: []wasLine{}, Source: l.Source, Use: useJSON(l.Use), Findings: findingsJSON(l.Findings),
	}
	for _, st := range l.Stages {
		out.Stages = append(out.Stages, stageJSON(st))
	}
	for _, s := range l.Layout.Places {
		out.Places = append(out.Places, torquePlace(s))
	}
	if l.Part != nil {
		out.Part = l.Part.Name
	}
	for _, w := range l.Was {
		out.Was = append(out.Was, wasLine(w))
	}
	return out
}

func stageJSON(st app.TorqueStage) torqueStage {
	out := torqueStage{Text: st.Text, Torque: []unitValue{}, Angle: st.Angle, Tool: st.Tool, Set: st.Set, Marks: some(st.Marks), Would: some(st.Choice.Would)}
	if st.Torque <= 0 {
		return out
	}
	for _, unit := range joint.Units {
		v := st.Torque.In(unit)
		out.Torque = append(out.Torque, unitValue{v.Number, v.Unit})
	}
	out.Use = st.Choice.Use
	f := st.Choice.Best()
	if f == nil {
		return out
	}
	out.Setting, out.Low, out.High = float64(f.Setting), float64(f.Low), float64(f.High)
	if a := f.Through; a.Reach > 0 {
		out.Adapter = &adapterLine{float64(a.Arm), float64(a.Reach), a.Bend, a.Factor(), ""}
		if st.Foot != nil {
			out.Adapter.Own = st.Foot.Name
		}
	}
	return out
}

func useJSON(a *joint.Assessment) *useLine {
	if a == nil {
		return nil
	}
	return &useLine{
		a.Place, float64(a.Band.Low), float64(a.Band.High), a.Band.Rule,
		[]float64{a.Friction.Low, a.Friction.High},
		newtons(a.Preload), a.Use[:],
		a.Proof, float64(a.Nominal), a.Scatter.Most, a.Scatter.Source + ", " + a.Scatter.Method, newtons(a.Spread), a.Angled, a.Assumed, float64(a.Needed), a.Material,
	}
}

func newtons(n [2]joint.Newtons) []float64 { return []float64{float64(n[0]), float64(n[1])} }

func findingsJSON(list []app.TorqueFinding) []torqueFinding {
	out := []torqueFinding{}
	for _, f := range list {
		out = append(out, torqueFinding(f))
	}
	return out
}

func threadJSON(b *app.BareTorque, svg string) threadAnswer {
	out := threadAnswer{
		Text: b.Text, Low: float64(b.Band.Low), High: float64(b.Band.High), Rule: b.Band.Rule, Stages: []torqueStage{}, Use: useJSON(b.Use),
		Reuse: b.Next.Says, Findings: findingsJSON(b.Findings), Written: svg,
		Standard: float64(b.Standard.Torque), Preload: float64(b.Standard.Preload), Friction: b.Standard.Friction,
	}
	if b.Threaded {
		t := b.Fastener.Thread
		out.Thread, out.Diameter, out.Pitch, out.Core, out.Area = t.String(), float64(t.Diameter), float64(t.Pitch), float64(t.MinorDiameter()), float64(t.StressArea())
	}
	for _, st := range b.Stages {
		out.Stages = append(out.Stages, stageJSON(st.TorqueStage))
	}
	return out
}
