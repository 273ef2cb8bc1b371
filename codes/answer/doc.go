// Package answer reads the messages that control units send back: the services
// of SAE J1979 (ISO 15031-5) that carry codes, data and information, and
// service 19 of ISO 14229-1 (trouble codes with their status).
//
// Decode takes one whole message, from its service byte on: what a CAN bus
// splits has been put together before (package can). It returns everything
// that is in it: codes, values, readiness, what is supported, texts. Bytes that
// are not understood come back as notes with their place; none is dropped.
//
// # The link matters
//
// On CAN (ISO 15765-4) services 03, 07 and 0A say how many codes follow; on
// older links they send three codes at a time, filled up with noughts, and no
// number. "43 01 33 00 00 00 00" can therefore be read two ways. With the link
// unknown Decode takes neither when both make sense: it returns both in Either
// and says what to find out.
//
// Decode also recognises requests, so that a capture can tell what was asked
// and never answered, and refusals with their reason.
package answer
