// The host's statistics beside the R package `survival`, on its own copies of published data sets. R is asked
// here and now, so that a number once written down wrongly cannot stay.
import { spawnSync } from 'node:child_process';
import { beforeAll, describe, expect, it } from 'vitest';
import { LOGNORMAL, WEIBULL } from '../../../host/outlook/families';
import { fitLives } from '../../../host/outlook/fit';
import { meanCumulative } from '../../../host/outlook/meanCumulative';
import { survivors } from '../../../host/outlook/survivors';
import { FANS, TURBINE, tobinPurchases, turbineLives, VALVE_SEAT } from './published';

/** Prints one line for each name: the name and its numbers. */
const SCRIPT = `
library(survival)
say <- function(name, x) cat(name, format(x, digits = 12, scientific = TRUE), "\\n")
fitted <- function(name, f) say(name, c(coef(f), f$scale, diag(f$var)))
t2 <- with(turbine, data.frame(l = c(rep(NA, 11), hours), r = c(hours, rep(NA, 11)),
                               w = c(failed, inspected - failed)))
t2 <- t2[t2$w > 0, ]
for (dist in c("weibull", "lognormal"))
  fitted(dist, survreg(Surv(l, r, type = "interval2") ~ 1, data = t2, weights = w, dist = dist))
fitted("tobin", survreg(Surv(durable, durable > 0, type = "left") ~ age + quant, data = tobin, dist = "gaussian"))
say("wheels", summary(survfit(Surv(l, r, type = "interval2") ~ 1, data = t2, weights = w), turbine$hours)$surv)
f <- survfit(Surv(hours, status) ~ 1, genfan)
say("fans", rbind(f$time, f$surv)[, f$n.event > 0])
v <- valveSeat
v$t2 <- v$time - 0.1 * duplicated(v[, 1:2], fromLast = TRUE)
v$t1 <- ave(v$t2, v$id, FUN = function(x) c(0, head(x, -1)))
f <- survfit(Surv(t1, t2, status) ~ 1, v, id = id)
say("seats", rbind(f$time, f$cumhaz)[, f$n.event > 0 & f$time %% 1 == 0])
`;

const said = new Map<string, number[]>();

beforeAll(() => {
  const { stdout, stderr } = spawnSync('Rscript', ['-'], { input: SCRIPT, encoding: 'utf8' });
  for (const line of (stdout ?? '').trim().split('\n')) {
    const [name, ...numbers] = line.trim().split(/\s+/);
    said.set(name, numbers.map(Number));
  }
  if (said.size !== 6) throw new Error(`R with the package survival is needed (r-cran-survival): ${stderr}`);
});

function expectAgreed(found: readonly number[], name: string): void {
  const wanted = said.get(name)!;
  expect(found.length).toBe(wanted.length);
  found.forEach((one, i) => {
    expect(Math.abs(one / wanted[i] - 1), `${name} ${i}: ${one} for ${wanted[i]}`).toBeLessThan(1e-4);
  });
}

function pairsOf(name: string): [number, number][] {
  const flat = said.get(name)!;
  return flat.flatMap((one, i): [number, number][] => (i % 2 === 0 ? [[one, flat[i + 1]]] : []));
}

describe('agree with the package survival to 1e-4', () => {
  it.each([
    ['weibull', WEIBULL, turbineLives(), [3, 0]],
    ['lognormal', LOGNORMAL, turbineLives(), [3, 0]],
    ['tobin', LOGNORMAL, tobinPurchases(), [0, 0, 0, 1]],
  ] as const)('coefficients, scale and variances: %s', (name, family, known, start) => {
    const { parameters, covariance } = fitLives(known, family, start)!;
    const last = parameters.length - 1;
    const variances = covariance.map((row, i) => row[i]);
    expectAgreed([...parameters.slice(0, last), Math.exp(parameters[last]), ...variances], name);
  });

  it('surviving shares of diesel fans', () => {
    const open = Number.POSITIVE_INFINITY;
    const steps = survivors(
      FANS.map((hours) => ({
        ...{ lower: Math.abs(hours), upper: hours > 0 ? hours : open, entry: 0, weight: 1 },
      })),
    );
    for (const [at, share] of pairsOf('fans'))
      expect(steps.find((step) => step.at === at)!.share).toBeCloseTo(share, 5);
  });

  it('mean numbers of replaced valve seats', () => {
    const steps = meanCumulative(
      VALVE_SEAT.map((days) => ({ from: 0, to: days[days.length - 1], events: days.slice(0, -1) })),
    );
    const pairs = pairsOf('seats');
    expect(pairs.length).toBe(steps.length);
    for (const [at, mean] of pairs) expect(steps.find((step) => step.at === at)!.mean).toBeCloseTo(mean, 6);
  });
});

it('surviving shares of turbine wheels agree as far as R carries its iteration, about 2e-3', () => {
  const steps = survivors(
    TURBINE.flatMap(([hours, inspected, failed]) => [
      { lower: 0, upper: hours, entry: 0, weight: failed },
      { lower: hours, upper: Number.POSITIVE_INFINITY, entry: 0, weight: inspected - failed },
    ]).filter(({ weight }) => weight > 0),
  );
  const shares = said.get('wheels')!;
  TURBINE.forEach(([hours], i) => {
    const share = steps.filter(({ at }) => at <= hours).at(-1)?.share ?? 1;
    expect(Math.abs(share - shares[i]), `at ${hours}`).toBeLessThan(2e-3);
  });
});
