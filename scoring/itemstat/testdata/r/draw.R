# Draws the invented answers of part-marks.csv and sparse.csv. R 4.2.2.
set.seed(20)
people <- 600
ability <- rnorm(people)

# A mark out of 3 (or out of 1) by the partial credit model with these steps.
steps <- list(-0.8, c(-1, 0, 0.9), c(0.7, -0.3, 0.4), 0.5, c(-0.6, 0.2, 1.2), c(-1.4, -0.2, 0.3))
mark <- function(theta, b) {
  weight <- exp(cumsum(c(0, theta - b)))
  sample(seq_along(weight) - 1, 1, prob = weight)
}
marks <- sapply(steps, function(b) sapply(ability, mark, b = b))
colnames(marks) <- paste0("c", 1:6)
write.csv(marks[1:400, ], "part-marks.csv", row.names = FALSE, quote = FALSE)

# Right or wrong; everybody meets six of twelve columns.
difficulty <- seq(-1.5, 1.5, length.out = 12)
right <- matrix(as.integer(runif(people * 12) < plogis(outer(ability, difficulty, "-"))), people)
for (i in 1:people) right[i, sample(12, 6)] <- NA
colnames(right) <- paste0("c", 1:12)
write.csv(right, "sparse.csv", row.names = FALSE, quote = FALSE, na = "")
