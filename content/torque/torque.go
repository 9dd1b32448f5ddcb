// Package torque holds physical quantities as a procedure writes them, converts
// them exactly, and says what to set a torque wrench to.
//
// Every value is a rational number. Nothing that decides between right and wrong
// passes through a binary float: 7 kgf/cm² is 6.86466 bar to six figures because
// the tie at 6.864655 is rounded exactly, half away from zero.
//
// The factors rest on three definitions: 1 lb = 0.45359237 kg, standard gravity
// = 9.80665 m/s², 1 in = 0.0254 m (NIST SP 811, 2008, Appendix B).
//
// As text a quantity is a number, a space that may be left out, and a unit:
// "13.6 N·m", "120 lbf·in", "0,05 mm", "1/4 in". The text is kept as written, so
// that a file, a JSON document and a screen show what the author wrote.
package torque
