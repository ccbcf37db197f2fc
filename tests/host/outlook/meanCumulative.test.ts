// Replacements of valve seats, against R; survivalPackage.test.ts asks R itself.
import { expect, it } from 'vitest';
import { meanCumulative } from '../../../host/outlook/meanCumulative';
import { VALVE_SEAT } from './published';

it('gives the mean number of replaced valve seats per engine', () => {
  const steps = meanCumulative(
    VALVE_SEAT.map((days) => ({ from: 0, to: days[days.length - 1], events: days.slice(0, -1) })),
  );
  const meanAt = (day: number) => steps.filter(({ at }) => at <= day).at(-1)!.mean;
  // v <- valveSeat; v$t2 <- v$time - 0.1 * duplicated(v[, 1:2], fromLast = TRUE)
  // v$t1 <- ave(v$t2, v$id, FUN = function(x) c(0, head(x, -1)))
  // survfit(Surv(t1, t2, status) ~ 1, v, id = id)$cumhaz, R 4.2.2, survival 3.5-3
  const wanted: [number, number][] = [
    ...([
      [61, 0.0243902439024],
      [139, 0.219512195122],
      [404, 0.6835365853659],
    ] as [number, number][]),
    ...([
      [581, 0.9848523748395],
      [586, 1.0142641395454],
      [604, 1.059718685],
    ] as [number, number][]),
    ...([
      [621, 1.1185422144117],
      [646, 1.3204652913348],
      [653, 1.542687513557],
    ] as [number, number][]),
  ];
  for (const [day, mean] of wanted) expect(meanAt(day), `day ${day}`).toBeCloseTo(mean, 9);
});
