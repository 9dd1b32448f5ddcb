// Package paper makes what leaves the program as a file: tables as CSV, printed
// sheets as PDF, and QR codes. It draws what it is given and decides nothing;
// the same arguments give the same bytes.
package paper
