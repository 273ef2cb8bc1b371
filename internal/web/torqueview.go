package web

import (
	"html/template"
	"math"
	"strconv"
	"strings"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/joint"
)

// torqueOf lays one joint out. The plan is the address of the visit, empty for
// one item.
func torqueOf(st state, x tightening, l *app.TorqueLine, plan string) torqueView {
	v := torqueView{
		Number: l.Number, ID: jointID(l.Number), Name: l.Item.Name, Item: string(l.Item.ID), Fastener: l.Fastener, State: stateOf(l),
		Others: l.Others, Reuse: guide.Capital(l.Next.Says), Renew: l.Next.Renew, Source: l.Source,
	}
	for _, f := range l.Findings {
		v.Findings = append(v.Findings, app.TorqueFinding{Sort: f.Sort, Says: guide.Capital(f.Says), Do: guide.Capital(f.Do)})
	}
	sheet := st
	sheet.item = l.Item.ID
	v.Sheet = sheet.to("/bay")
	if plan != "" && l.Step > 0 {
		v.Step = stepLink{l.Step, plan + say("step.anchor", l.Step)}
	}
	v.stages(l)
	v.order(l)
	if l.Part != nil {
		v.Part = say("torque.part", amount(l.Part.Count, false), strings.TrimSpace(l.Part.Name+" "+l.Part.Number))
	}
	if l.Use != nil {
		v.Use = useOf(l.Use)
	}
	for _, w := range l.Was {
		v.Was = append(v.Was, wasOf(w))
	}
	for i := range l.Joint.Count {
		v.Ticks = append(v.Ticks, i+1)
	}
	to := x
	to.line = strconv.Itoa(l.Number)
	v.Through = to.to(st) + "#adapter"
	return v
}

// stateOf says in which state the threads are; nothing for what is not
// tightened.
func stateOf(l *app.TorqueLine) string {
	switch {
	case l.Joint.State != "":
		return string(l.Joint.State)
	case len(l.Joint.Stages) > 0 && l.Joint.Thread != "":
		return say("torque.state-unsaid")
	}
	return ""
}

// stages lays out what to tighten to and with what.
func (v *torqueView) stages(l *app.TorqueLine) {
	if len(l.Stages) == 0 {
		v.Plain = plainTorque(l)
	}
	for i, st := range l.Stages {
		s := stageView{Text: st.Text, Also: st.Also, Tool: st.Tool, Marks: st.Marks, Overdue: st.Choice.Use == joint.Overdue}
		if len(l.Stages) > 1 {
			s.Name = say("torque.stage", i+1)
		}
		f := st.Choice.Best()
		if f != nil && (f.Offset() || st.Set != st.Text) {
			s.Set = st.Set
		}
		if st.Foot != nil && f != nil {
			s.Foot = st.Foot.Name
		}
		if f != nil && f.Through.Reach > 0 {
			v.adapter(l, i, f)
		}
		v.Stages = append(v.Stages, s)
	}
}

// plainTorque says why there is nothing to tighten to.
func plainTorque(l *app.TorqueLine) string {
	switch l.Joint.Torque {
	case guide.NotApplicable:
		return say("torque.none")
	case guide.OutOfScope:
		return say("torque.out-of-scope")
	case guide.Unknown:
		return say("torque.unknown")
	}
	return say("torque.no-value")
}

func (v *torqueView) adapter(l *app.TorqueLine, stage int, f *joint.Fit) {
	a := f.Through
	id := "adapter-" + strconv.Itoa(l.Number) + "-" + strconv.Itoa(stage+1)
	if !a.NeedsArm() {
		v.AdapterSays = append(v.AdapterSays, say("torque.square", millimetres(a.Reach)))
		return
	}
	title := say("torque.adapter-title", millimetres(a.Arm), millimetres(a.Reach), degrees(a.Bend))
	v.Adapters = append(v.Adapters, template.HTML(a.SVG(id, title))) // package joint escapes every text
	v.AdapterSays = append(v.AdapterSays, say("torque.adapter-how", strconv.FormatFloat(100*a.PerMillimetre(), 'f', 1, 64)))
}

func millimetres(x joint.Millimetres) string { return strconv.FormatFloat(float64(x), 'g', 4, 64) }

func degrees(x float64) string { return strconv.FormatFloat(x, 'g', 4, 64) }

// order draws the places with their order. One fastener has none.
func (v *torqueView) order(l *app.TorqueLine) {
	lay := l.Layout
	if len(lay.Places) < 2 || len(l.Stages) == 0 {
		return
	}
	v.OrderSays = guide.Capital(lay.Says)
	if len(lay.Order) == 0 {
		return
	}
	var words []string
	for _, n := range lay.Order {
		words = append(words, strconv.Itoa(n))
	}
	title := say("torque.order-rows", len(lay.Places), strings.Join(words, " "))
	if lay.Form == joint.Circle {
		title = say("torque.order-circle", len(lay.Places), strings.Join(words, " "))
	}
	v.Order = template.HTML(lay.SVG("order-"+strconv.Itoa(l.Number), title)) // package joint escapes every text
}

// useOf says what the torque does to the fastener.
func useOf(a *joint.Assessment) string {
	if a.Angled {
		return say("torque.use-angle", percents(a.Scatter.Least), percents(a.Scatter.Most), a.Scatter.Source)
	}
	texts := []string{say("torque.use-preload", kilonewtons(a.Nominal), percents(a.Scatter.Most), kilonewtons(a.Spread[0]), kilonewtons(a.Spread[1]))}
	if a.Use[1] > 0 {
		text := say("torque.use-yield", percents(a.Use[0]), percents(a.Use[1]))
		if a.Assumed {
			text = say("torque.use-yield-assumed", percents(a.Use[0]), percents(a.Use[1]))
		}
		texts = append(texts, text)
	}
	if a.Needed > 0 {
		texts = append(texts, say("torque.use-thread", strconv.FormatFloat(math.Ceil(float64(a.Needed)*10)/10, 'f', 1, 64), a.Material))
	}
	return strings.Join(texts, " ")
}

func percents(x float64) string { return strconv.FormatFloat(math.Round(100*x), 'f', -1, 64) }

func kilonewtons(n joint.Newtons) string { return strconv.FormatFloat(float64(n)/1000, 'f', 1, 64) }

func wasOf(w app.WasLine) wasView {
	v := wasView{Value: w.Value, Reason: w.Reason}
	switch {
	case w.Until == "":
	case w.Date == "" || w.Date == w.Until:
		v.Until = say("torque.until", w.Until)
	default:
		v.Until = say("torque.until-dated", w.Until, w.Date)
	}
	return v
}
