# Works out what reference.txt holds, with the packages psych (Revelle) and eRm
# (Mair and Hatzinger 2007, Journal of Statistical Software 20(9)) from Debian:
#
#   apt-get install r-base-core r-cran-psych r-cran-erm
#   Rscript reference.R > reference.txt
#
# A line is a name and its values, tabs between. Difficulties and steps add up to 0.
suppressMessages({library(psych); library(eRm)})
say <- function(name, v) cat(paste(c(name, format(unname(v), digits = 10, scientific = FALSE, trim = TRUE)), collapse = "\t"), "\n", sep = "")
cat("# ", R.version.string, ", psych ", as.character(packageVersion("psych")), ", eRm ", as.character(packageVersion("eRm")), "\n", sep = "")

rows <- function(...) as.data.frame(do.call(rbind, lapply(strsplit(c(...), ""), as.integer)))
kr20 <- rows("1111110110", "1011011101", "1111011001", "0010001000", "0000010010",
             "1110111111", "1101110111", "1111111101", "0101111101", "1101101110")
lsat6 <- rows(rep(
  sapply(0:31, function(p) paste(rev(as.integer(intToBits(p))[1:5]), collapse = "")),
  c(3, 6, 2, 11, 1, 1, 3, 4, 1, 8, 0, 16, 0, 3, 2, 15, 10, 29, 14, 81, 3, 28, 15, 80, 16, 56, 21, 173, 11, 61, 28, 298)))
part <- read.csv("part-marks.csv")
sparse <- read.csv("sparse.csv")
thirds <- part
for (j in c(2, 3, 5, 6)) thirds[, j] <- thirds[, j] / 3 # the marks of the program: 0 to 1

for (set in c("kr20", "lsat6", "thirds")) {
  a <- suppressWarnings(alpha(get(set), check.keys = FALSE, warnings = FALSE))
  say(paste0(set, " alpha"), a$total$raw_alpha)
  say(paste0(set, " alpha if deleted"), a$alpha.drop$raw_alpha)
  say(paste0(set, " item-total"), a$item.stats$r.drop)
}

for (set in c("lsat6", "sparse")) {
  f <- RM(get(set), sum0 = TRUE)
  say(paste0(set, " Rasch difficulty"), -f$betapar)
  say(paste0(set, " Rasch error"), f$se.beta)
  say(paste0(set, " Rasch log L"), f$loglik)
}

# Abilities by maximum likelihood under the Rasch difficulties, totals 1 to 4.
able <- person.parameter(RM(lsat6, sum0 = TRUE))
totals <- rowSums(lsat6[match(names(able$thetapar[[1]]), paste0("P", 1:1000)), ])
first <- match(1:4, totals)
say("lsat6 ability", able$thetapar[[1]][first])
say("lsat6 ability error", able$se.theta[[1]][first])

f <- PCM(part)
steps <- thresholds(f)$threshpar
say("part-marks PCM steps", steps - mean(steps))
say("part-marks PCM log L", f$loglik)
