// Maximum likelihood against what R 4.2.2 with survival 3.5-3 (Debian 12) gives for published data sets.
// survivalPackage.test.ts asks R itself.
import { describe, expect, it } from 'vitest';
import { LOGNORMAL, WEIBULL } from '../../../host/outlook/families';
import { type Fit, fitLives } from '../../../host/outlook/fit';
import { type Known, slopeOf } from '../../../host/outlook/likelihood';
import { tobinPurchases, turbineLives } from './published';

function coefficients(found: Fit | undefined): number[] {
  if (!found) throw new Error('There is no fit.');
  const { parameters } = found;
  return [...parameters.slice(0, -1), Math.exp(parameters[parameters.length - 1])];
}

function expectNear(found: readonly number[], wanted: readonly number[]): void {
  expect(found.length).toBe(wanted.length);
  found.forEach((one, i) => {
    expect(Math.abs(one / wanted[i] - 1), `${one} for ${wanted[i]}`).toBeLessThan(1e-4);
  });
}

describe('turbine wheels, each inspected once', () => {
  // t2 <- with(turbine, data.frame(l = c(rep(NA, 11), hours), r = c(hours, rep(NA, 11)),
  //   w = c(failed, inspected - failed))); t2 <- t2[t2$w > 0, ]
  // survreg(Surv(l, r, type = "interval2") ~ 1, data = t2, weights = w, dist = ...)

  it('have a Weibull life', () => {
    const found = fitLives(turbineLives(), WEIBULL, [3, 0]);
    expectNear(coefficients(found), [3.84539655137, 0.459605310202]);
    expectNear([found!.logLikelihood], [-189.2871934]);
    expectNear(found!.covariance.flat(), [
      ...[0.00408788302686, 0.00559955009527, 0.00559955009527, 0.01549272341652],
    ]);
  });

  it('have a log-normal life', () => {
    const found = fitLives(turbineLives(), LOGNORMAL, [3, 0]);
    expectNear(coefficients(found), [3.6999076694, 0.7198857213]);
    expectNear([found!.logLikelihood], [-190.731549491]);
    expectNear(found!.covariance.flat(), [
      ...[0.00501738517616, 0.0057860447996, 0.0057860447996, 0.015174449723],
    ]);
  });
});

it("Tobin's purchases depend on age and liquidity, censored at 0", () => {
  // survreg(Surv(durable, durable > 0, type = "left") ~ age + quant, data = tobin, dist = "gaussian")
  const found = fitLives(tobinPurchases(), LOGNORMAL, [0, 0, 0, 1]);
  expectNear(coefficients(found), [15.1448663606815, -0.129059284097, -0.0455416629543, 5.57253976309]);
  expectNear([found!.logLikelihood], [-28.9401331997]);
  expectNear(
    found!.covariance.map((row, i) => Math.sqrt(row[i])),
    [16.0794531947701, 0.2185835966378, 0.0582541154779, 0.3103227200704],
  );
});

it('values that do not determine the parameters have no fit', () => {
  const open = { lower: 1, upper: Number.POSITIVE_INFINITY, entry: Number.NEGATIVE_INFINITY };
  const passed: Known[] = [1, 2, 3].map((weight) => ({ ...open, weight, covariates: [1] }));
  for (const family of [WEIBULL, LOGNORMAL]) expect(fitLives(passed, family, [1, 0])).toBeUndefined();
});

it('has the gradient that the likelihood has, also with entries', () => {
  const known: Known[] = [
    { lower: 1.2, upper: 1.2, entry: 0.5, weight: 2, covariates: [1, 0.3] },
    { lower: 0.9, upper: 1.4, entry: 0.8, weight: 1, covariates: [1, -0.2] },
    {
      lower: Number.NEGATIVE_INFINITY,
      upper: 0.7,
      entry: Number.NEGATIVE_INFINITY,
      weight: 1,
      covariates: [1, 1],
    },
    { lower: 2, upper: Number.POSITIVE_INFINITY, entry: 1, weight: 3, covariates: [1, 0] },
  ];
  const at = [1.1, 0.2, -0.4];
  for (const family of [WEIBULL, LOGNORMAL]) {
    const { gradient } = slopeOf(known, family, at);
    gradient.forEach((slope, i) => {
      const beside = (by: number) => slopeOf(known, family, at.with(i, at[i] + by)).value;
      expect(slope).toBeCloseTo((beside(1e-6) - beside(-1e-6)) / 2e-6, 5);
    });
  }
});
