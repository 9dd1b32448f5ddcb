# Times alpha() of the psych package alone: alpha, alpha if deleted and the
# corrected item-total correlations of right (1) and wrong (0) answers.
#
#   Rscript alpha-speed.R FILE PEOPLE COLUMNS
#
# FILE holds one byte an answer, person by person. Written out: the seconds that
# alpha() took, the least of three runs; alpha; alpha without each column; each column's
# correlation with the others' sum.
arguments <- commandArgs(TRUE)
people <- as.integer(arguments[2])
columns <- as.integer(arguments[3])
answers <- readBin(arguments[1], "integer", people * columns, size = 1)
x <- as.data.frame(matrix(answers, nrow = people, byrow = TRUE))
suppressMessages(library(psych))
took <- Inf
for (run in 1:3) {
  took <- min(took, system.time(a <- alpha(x, check.keys = FALSE, warnings = FALSE))[["elapsed"]])
}
line <- function(v) cat(format(v, digits = 15, scientific = FALSE, trim = TRUE), "\n")
line(took)
line(a$total$raw_alpha)
line(a$alpha.drop$raw_alpha)
line(a$item.stats$r.drop)
