#!/usr/bin/env Rscript
# Writes profile_values.json: what R says of lines, mixed models and their intervals, for the checks of
# libkinetics/profile. Run with Debian 12's own R (r-base-core 4.2.2, r-cran-lme4 1.1-31,
# r-cran-jsonlite):
#
#     Rscript tests/oracle/profile_values.R tests/oracle/profile_values.json
#
# Nothing hangs on a random generator: the "noise" is quadratic residues, the same everywhere.
suppressMessages(library(lme4))
library(jsonlite)

arguments <- commandArgs(trailingOnly = TRUE)
stopifnot(length(arguments) == 1)

noise <- function(k) ((k * k * 7919 + k * 104729) %% 10007) / 10007 - 0.5

lme4_fit <- function(fit, group) {
  deviations <- as.data.frame(VarCorr(fit))
  list(
    beta = unname(fixef(fit)),
    beta_se = unname(sqrt(diag(as.matrix(vcov(fit))))),
    deviations = deviations[, c("grp", "var1", "var2", "sdcor")],
    criterion = if (isREML(fit)) REMLcrit(fit) else deviance(fit),
    effects = as.matrix(ranef(fit)[[group]]),
    # Of the predicted lines (intercept, slope): fixed plus group's own.
    lines = as.matrix(coef(fit)[[group]])
  )
}

tight <- lmerControl(optimizer = "bobyqa", optCtrl = list(rhoend = 1e-10, maxfun = 1e6),
                     check.conv.singular = "ignore")
tight_scalar <- tight

# Reaction times over days without sleep (Belenky et al. 2003), as lme4 holds them.
sleep <- list(
  reaction_ms = sleepstudy$Reaction,
  days = sleepstudy$Days,
  subject = as.integer(sleepstudy$Subject) - 1,
  reml = lme4_fit(lmer(Reaction ~ Days + (Days | Subject), sleepstudy, control = tight), "Subject"),
  ml = lme4_fit(lmer(Reaction ~ Days + (Days | Subject), sleepstudy, REML = FALSE, control = tight),
                "Subject")
)

# One lifter: six days, several loads a day, and what the sets of a day share.
one <- expand.grid(set = 1:5, day = 0:5)
k <- seq_len(nrow(one))
one$load_kg <- 60 + 15 * ((one$set + 2 * one$day) %% 6)
one$velocity_mps <- 1.45 - 0.0065 * one$load_kg + 0.12 * noise(one$day + 3) + 0.06 * noise(k + 20)
fit_one <- lmer(velocity_mps ~ load_kg + (1 | day), one, control = tight)
lifter <- list(load_kg = one$load_kg, velocity_mps = one$velocity_mps, day = one$day,
               reml = lme4_fit(fit_one, "day"))

# A club: lines differ, days differ within a lifter, and some lifters have few sets.
sizes <- c(12, 3, 9, 15, 2, 8, 10, 4)
club <- do.call(rbind, lapply(seq_along(sizes), function(i) {
  n <- sizes[i]
  j <- seq_len(n)
  data.frame(lifter = i - 1, day = (j - 1) %/% 3, share = 0.40 + 0.06 * ((j * 5 + i) %% 9))
}))
k <- seq_len(nrow(club))
own_intercept <- 0.25 * noise(club$lifter + 2)
own_slope <- 0.5 * noise(3 * club$lifter + 7)
club$velocity_mps <- 1.75 + own_intercept + (-1.45 + own_slope) * club$share +
  0.10 * noise(10 * club$lifter + club$day + 5) + 0.08 * noise(k + 200)
fit_club <- lmer(velocity_mps ~ share + (share | lifter) + (1 | lifter:day), club, control = tight)
club_values <- list(lifter = club$lifter, day = club$day, share = club$share,
                    velocity_mps = club$velocity_mps, reml = lme4_fit(fit_club, "lifter"))

# Intervals of a line: plain, and with weights (1 / sigma^2, known up to a factor).
at <- data.frame(x = c(50, 60, 95, 140, 170))
intervals <- function(fit, ...) {
  list(coefficients = unname(coef(fit)), covariance = unname(vcov(fit)), residual_sd = sigma(fit),
       at = at$x,
       confidence = unname(predict(fit, at, interval = "confidence")),
       prediction = unname(predict(fit, at, interval = "prediction", ...)))
}
plain <- data.frame(x = c(60, 80, 100, 120, 140), y = c(1.02, 0.87, 0.75, 0.60, 0.46))
line <- c(list(x = plain$x, y = plain$y), intervals(lm(y ~ x, plain)))

curved <- data.frame(x = seq(40, 160, by = 10))
curved$y <- 1.5 - 0.004 * curved$x - 2.2e-5 * curved$x^2 + 0.03 * noise(seq_along(curved$x) + 50)
straight_fit <- lm(y ~ x, curved)
curved_fit <- lm(y ~ x + I(x^2), curved)
aicc <- function(fit) { p <- length(coef(fit)) + 1; n <- nobs(fit); AIC(fit) + 2 * p * (p + 1) / (n - p - 1) }
curve <- list(x = curved$x, y = curved$y, at = at$x,
              coefficients = unname(coef(curved_fit)), covariance = unname(vcov(curved_fit)),
              residual_sd = sigma(curved_fit),
              confidence = unname(predict(curved_fit, at, interval = "confidence")),
              prediction = unname(predict(curved_fit, at, interval = "prediction")),
              aicc_straight = aicc(straight_fit), aicc_curved = aicc(curved_fit),
              f_test_p = anova(straight_fit, curved_fit)[["Pr(>F)"]][2])

write_json(list(r = R.version.string, lme4 = as.character(packageVersion("lme4")),
                sleepstudy = sleep, lifter = lifter, club = club_values, line = line,
                curve = curve),
           arguments[1], auto_unbox = TRUE, digits = NA, pretty = TRUE)
