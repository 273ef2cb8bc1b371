package web

// cannedQuotes are quotes for the pattern sheet: one with everything, and one
// with hardly anything.
func cannedQuotes() []*quoteView {
	step := stepLink{3, "#"}
	full := &quoteView{
		Fixed: true, Net: "120.00", Tax: "24.00", TaxRate: "20 %", Total: "144.00\u00a0EUR", Currency: "EUR", Calendar: "Done within one working day.",
		Lines: []quoteLine{
			{What: "Labour: getting to it", Count: "40\u00a0min", Sum: "56.00"},
			{What: "A part with a very long name that takes two lines on the screen of a telephone", Count: "2\u00a0×", Sum: "64.00"},
			{What: "Something without a price", Count: "1\u00a0×", Unknown: true},
		},
		Kept:  []keptAt{{say("quote.half"), "130.00\u00a0EUR"}, {say("quote.four"), "144.00\u00a0EUR"}, {say("quote.most"), "180.00\u00a0EUR"}},
		Scale: priceScale{Half: 690, Four: 770, Total: 770, FourWide: 80, MostWide: 190, Limit: 500, Has: true, HasLimit: true},
		Times: []timeLine{{say("quote.hands"), "40\u00a0min", "48\u00a0min", "60\u00a0min", ""}, {say("quote.waiting"), "45\u00a0min", "45\u00a0min", "45\u00a0min", say("quote.fill", "45\u00a0min")}},
		Risks: []riskView{{"Screw seizes", say("quote.odds", "4 in 7"), "take off the shield", "+40.80\u00a0EUR", step}},
		Limit: &limitView{"90.00\u00a0EUR", "Ask before step 3.", "At usual times it is reached after 20 min.", say("quote.beyond", "4 in 5")},
		Stops: []stopView{
			{Step: step, Done: "Take off the cover", Spent: "20.00", Close: "25.00", Pay: "45.00\u00a0EUR", Took: "10\u00a0min", Back: "12\u00a0min", SpentW: 140, CloseX: 140, CloseW: 175},
			{Step: step, Done: "Replace the probe", Spent: "110.00", Close: "34.00", Pay: "144.00\u00a0EUR", Took: "28\u00a0min", Back: "12\u00a0min", SpentW: 760, CloseX: 760, CloseW: 240, BeyondTheSum: true},
		},
		Later: []laterView{
			{Now: true, Mark: say("quote.now"), Text: "Replace the coil", Extra: "+62.80\u00a0EUR", Advice: "Better now.", Even: "Now pays where half of them fail before 210000 km.", Age: "Age 190000 km.", Basis: "Life from the guide.", Figures: "Part 46.00.", Add: "#", AddLabel: "add"},
			{Mark: say("quote.later"), Text: "Replace the pump", Extra: "+600.00\u00a0EUR", Advice: "Better later.", Even: "No life is so short.", Age: "Age 190000 km.", Basis: "Life as entered.", Figures: "Part 580.00.", Add: "#", AddLabel: "add"},
		},
		LaterSum: say("quote.later-sum", "62.80\u00a0EUR", "31.00\u00a0EUR"), LaterMore: []string{say("quote.not-all")}, HasLater: true,
		Actual: &actualView{Rows: []actualRow{{step, "Take off the cover", "10\u00a0min", "22\u00a0min", "veld", true}, {step, "Refit the cover", "12\u00a0min", "12\u00a0min", "veld", false}}, Together: "22 min quoted, 34 min taken."},
		Steps:  []stepTime{{step, "Take off the cover", "11\u00a0min", "10\u00a0min", say("quote.measured", 4)}},
	}
	return []*quoteView{full, {Total: "14.00", Currency: "EUR", Lines: []quoteLine{{What: "Labour: the work itself", Count: "10\u00a0min", Sum: "14.00"}}, Calendar: "Done within one working day."}}
}

// cannedAsking is the form of a quote with something wrong in it.
func cannedAsking() quoteForm {
	at := func(name, value, wrong string) quoteField {
		return quoteField{name, say("quote.field." + name), say("quote.how." + name), value, wrong}
	}
	return quoteForm{
		Limit: at("limit", "much", "This is no price."), Keep: at("keep", "60000 km", ""), Failure: at("failure", "", ""), Ages: at("age", "", ""), Lives: at("life", "", ""),
		Person: []choice{{"", say("quote.anybody"), true}, {"veld", "Tomasz Veld", false}}, PersonWrong: "Nobody is called so.", HasPeople: true, More: true, Wrong: true,
		Range: choice{"range", say("quote.range-one"), true}, Fixed: choice{"fixed", say("quote.fixed-one"), false},
	}
}
