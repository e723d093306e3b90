# Writes day_model_values.json: what R says of the models behind `kinetics compare`.
#
# Run with Debian 12's own R (r-base-core, r-cran-lme4, r-cran-jsonlite):
#
#     Rscript tests/oracle/day_model.R
#
# Three data sets: lme4's sleepstudy (G. Belenky et al., J Sleep Res 2003; 12:1-12), whose fit its
# authors publish; made sessions of eight lifters, by lme4; and the same with a known error of each
# mean, by the restricted likelihood written out and R's own optimiser, as lme4 has no such errors.
library(lme4)

here <- dirname(sub("--file=", "", grep("--file=", commandArgs(FALSE), value = TRUE)))
tight <- lmerControl(optimizer = "bobyqa",
                     optCtrl = list(rhoend = 1e-12, maxfun = 1e6))

# Residues look like noise and are the same everywhere.
noise <- function(n, a) ((seq_len(n)^2 * 7919 + seq_len(n) * a) %% 10007) / 10007 - 0.5

of <- function(fit) {
  sd <- as.data.frame(VarCorr(fit))$sdcor
  list(beta = unname(fixef(fit)), sigma = unname(sqrt(diag(as.matrix(vcov(fit))))),
       group_sd = sd[1], scatter_sd = sd[2], reml = unname(REMLcrit(fit)))
}

sleep <- lmer(Reaction ~ Days + (1 | Subject), sleepstudy, control = tight)

d <- expand.grid(lifter = 1:8, day = 1:8)
d <- d[-c(5, 23, 42, 59), ]                       # some missed a session
d$after <- as.numeric(d$day > 5)
d$load <- c(-2:2, -2:0)[d$day] * 0.05 + 0.002 * d$lifter
n <- nrow(d)
d$y <- 0.7 + 0.02 * d$lifter - 0.6 * d$load + 0.03 * d$after + 0.15 * noise(8, 104729)[d$day] +
  0.08 * noise(n, 15485863)
made <- lmer(y ~ 0 + factor(lifter) + after + load + (1 | day), d, control = tight)

d$own <- (0.004 + 0.03 * (noise(n, 32452843) + 0.5))^2
x <- model.matrix(~ 0 + factor(lifter) + after + load, d)
z <- model.matrix(~ 0 + factor(day), d)
parts <- function(p) {
  v <- p[2]^2 * tcrossprod(z) + diag(p[1]^2 + d$own)
  w <- solve(v)
  info <- t(x) %*% w %*% x
  beta <- solve(info, t(x) %*% w %*% d$y)
  r <- d$y - x %*% beta
  list(cost = as.numeric(determinant(v)$modulus + determinant(info)$modulus +
                           t(r) %*% w %*% r + (n - ncol(x)) * log(2 * pi)),
       beta = as.numeric(beta), sigma = sqrt(diag(solve(info))))
}
best <- optim(c(0.02, 0.02), function(p) parts(p)$cost, method = "BFGS",
              control = list(reltol = 1e-15, maxit = 1000, ndeps = c(1e-6, 1e-6)))
best <- optim(best$par, function(p) parts(p)$cost, method = "Nelder-Mead",
              control = list(reltol = 1e-15, maxit = 5000))
at <- parts(best$par)

# All days alike: weighted least squares.
plain <- lm(y ~ 0 + factor(lifter) + after + load, d, weights = 1 / d$own)

jsonlite::write_json(list(
  r = R.version.string, lme4 = as.character(packageVersion("lme4")),
  sleep = c(list(days = sleepstudy$Days, reaction = sleepstudy$Reaction,
                 subject = as.integer(sleepstudy$Subject)), of(sleep)),
  data = list(lifter = d$lifter, day = d$day, after = d$after, load = d$load, y = d$y, own = d$own),
  made = of(made),
  known = list(beta = at$beta, sigma = unname(at$sigma), group_sd = abs(best$par[2]),
               scatter_sd = abs(best$par[1]), reml = at$cost),
  weighted = list(beta = unname(coef(plain)),
                  sigma = unname(summary(plain)$coefficients[, 2] / summary(plain)$sigma)),
  t95 = list(freedom = c(1, 2, 3.5, 5, 10, 42, 1000),
             quantile = qt(0.975, c(1, 2, 3.5, 5, 10, 42, 1000)))
), file.path(here, "day_model_values.json"), digits = 15, auto_unbox = TRUE)
