import { html, type TemplateResult } from 'lit';
import { counted } from '#geo-core/model/counted.ts';
import type { CarryTime, ScheduleEntry, SeasonWeek } from '#geo-core/model/plane-plan.ts';
import { spoken } from '#geo-core/model/spoken.ts';
import { createFigures, type Figures } from '../figures.ts';
import type { Actions, State } from '../state.ts';

const DAYS = ['Monday', 'Tuesday', 'Wednesday', 'Thursday', 'Friday', 'Saturday', 'Sunday'];
const MONTHS = [
  'January',
  'February',
  'March',
  'April',
  'May',
  'June',
  'July',
  'August',
  'September',
  'October',
  'November',
  'December',
];

/** The mowing year by seasons, times to carry, and the simulation when asked for. */
export function mowing(state: State, actions: Actions): TemplateResult | null {
  const { drawing, simulation } = state;
  if (drawing === null || drawing.plan.upkeep.seasons.length === 0) return null;
  const figures = createFigures(drawing.locale, drawing.units);
  const { seasons, carries, energyKwhPerYear } = drawing.plan.upkeep;
  return html`<section class="mowing" aria-labelledby="mowing-title">
    <h2 id="mowing-title">Mowing</h2>
    ${seasons.map((season, i) => week(season, figures, i === 0))}
    ${carries.length === 0 ? null : carried(carries)}
    <p class="quiet">${figures.count(Math.round(energyKwhPerYear))} kWh a year for station and signal; to be confirmed with the supplier.</p>
    <button type="button" id="simulate" ?disabled=${state.busy} @click=${actions.simulate}>
      ${simulation === null ? 'Simulate a week' : 'Simulate again'}
    </button>
    <div aria-live="polite">${simulation === null ? null : told(simulation, figures)}</div>
  </section>`;
}

function week({ months, hoursPerWeek, schedule }: SeasonWeek, figures: Figures, isOpen: boolean): TemplateResult {
  const days = [...new Set(schedule.map(({ day }) => day))];
  return html`<details ?open=${isOpen}>
    <summary>${monthsSaid(months)} <span class="quiet">${figures.hours(hoursPerWeek)} a week</span></summary>
    <table>
      <tbody>
        ${days.map(
          (day) => html`<tr>
            <th scope="row">${DAYS[day - 1]}</th>
            <td>${timesOf(schedule.filter((entry) => entry.day === day))}</td>
          </tr>`,
        )}
      </tbody>
    </table>
  </details>`;
}

function timesOf(entries: readonly ScheduleEntry[]): TemplateResult[] {
  return entries.map(
    ({ zone, from, to, edgeLap }) =>
      html`<div>${from}–${to} <span class="quiet">${spoken(zone)}${edgeLap === true ? ', lap along the edge first' : ''}</span></div>`,
  );
}

function carried(carries: readonly CarryTime[]): TemplateResult {
  return html`<details open>
    <summary>Carried by hand <span class="quiet">${counted(carries.length, 'time')} a week</span></summary>
    <table>
      <tbody>
        ${carries.map(
          ({ zone, day, from, to }) => html`<tr>
            <th scope="row">${DAYS[day - 1]}</th>
            <td>${from}–${to} <span class="quiet">${spoken(zone)}</span></td>
          </tr>`,
        )}
      </tbody>
    </table>
  </details>`;
}

/** 4, 5, 6, 10 -> 'April to June, October' */
function monthsSaid(months: readonly number[]): string {
  const runs: number[][] = [];
  for (const month of months) {
    const last = runs.at(-1);
    if (last !== undefined && last[last.length - 1] === month - 1) last.push(month);
    else runs.push([month]);
  }
  return runs
    .map((run) =>
      run.length === 1 ? MONTHS[run[0] - 1] : `${MONTHS[run[0] - 1]} to ${MONTHS[run[run.length - 1] - 1]}`,
    )
    .join(', ');
}

function told(simulation: NonNullable<State['simulation']>, figures: Figures): TemplateResult {
  const { share, clockH, mowingH, edgeLapH, chargingTrips, passages } = simulation;
  return html`<p>
      In ${figures.hours(clockH)} by the clock straight random runs cut ${figures.percent(100 * share)} of the ground at
      least once: ${figures.hours(mowingH)} on the grass, ${figures.hours(edgeLapH)} along the edge,
      ${counted(chargingTrips, 'trip')} to the station.
    </p>
    ${passages.map(({ passage, trips }) => html`<p>${counted(trips, 'trip')} through ${spoken(passage)}.</p>`)}`;
}
