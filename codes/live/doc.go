// Package live turns the bytes of public on-board diagnostics into values with
// units: the data items ("PID") of services 01 and 02 of SAE J1979
// (ISO 15031-5), the bitmaps of what is supported, and readiness.
//
// # Values
//
// Decode takes the bytes of one data item and returns every value in them,
// each with the name of its channel and a quantity.Value, as "engine coolant
// temperature" and 83 °C. Encode is its inverse. A channel name is stable: it
// is what a recording may be mapped to. Channel finds it from what people and
// readers write, "ECT" or "Coolant temp".
//
// Lambda is λ, air over what the fuel needs: above 1 is lean. A fuel trim
// above 0 adds fuel because the mixture was measured lean; below 0 takes fuel
// away. Some public copies of the tables print this the wrong way round.
//
// # Scalings
//
// Highest and Lowest follow from the formula, not from printed columns, which
// differ: mass air flow reaches 655.35 g/s and oil temperature 215 °C.
// Items whose layout is not kept are known by their length where that was at
// hand, so that the items behind them in the same message can still be read;
// their bytes are returned as they are, never dropped.
package live
