import { html, type TemplateResult } from 'lit';
import type { CarryTime, ScheduleEntry, SeasonWeek } from '#geo-core/model/plane-plan.ts';
import type { Figures } from '../figures.ts';
import { type Actions, figuresOf, type State } from '../state.ts';
import { partName } from '../wording/part-name.ts';
import type { Say, Words } from '../wording/words.ts';

/** The mowing year by seasons, times to carry, and the simulation when asked for. */
export function mowing(state: State, actions: Actions): TemplateResult | null {
  const { drawing, simulation, words } = state;
  const { say } = words;
  if (drawing === null || drawing.plan.upkeep.seasons.length === 0) return null;
  const figures = figuresOf(state);
  const { seasons, carries, energyKwhPerYear } = drawing.plan.upkeep;
  return html`<section class="mowing" aria-labelledby="mowing-title">
    <h2 id="mowing-title">${say('mow.title')}</h2>
    ${seasons.map((season, i) => week(season, figures, words, i === 0))}
    ${carries.length === 0 ? null : carried(carries, words)}
    <p class="quiet">${say('mow.energy', { kwh: Math.round(energyKwhPerYear) })}</p>
    <button type="button" id="simulate" ?disabled=${state.busy} @click=${actions.simulate}>
      ${say(simulation === null ? 'mow.simulate' : 'mow.again')}
    </button>
    <div aria-live="polite">${simulation === null ? null : told(simulation, figures, say)}</div>
  </section>`;
}

function week(
  { months, hoursPerWeek, schedule }: SeasonWeek,
  figures: Figures,
  words: Words,
  isOpen: boolean,
): TemplateResult {
  const days = [...new Set(schedule.map(({ day }) => day))];
  return html`<details ?open=${isOpen}>
    <summary>${monthsSaid(months, words)} <span class="quiet">${words.say('mow.aWeek', { hours: figures.hours(hoursPerWeek) })}</span></summary>
    <table>
      <tbody>
        ${days.map(
          (day) => html`<tr>
            <th scope="row">${dayName(day, words.locale)}</th>
            <td>${timesOf(
              schedule.filter((entry) => entry.day === day),
              words.say,
            )}</td>
          </tr>`,
        )}
      </tbody>
    </table>
  </details>`;
}

function timesOf(entries: readonly ScheduleEntry[], say: Say): TemplateResult[] {
  return entries.map(
    ({ zone, from, to, edgeLap }) =>
      html`<div>${from}–${to} <span class="quiet">${edgeLap === true ? say('mow.edgeLap', { zone: partName(zone, say) }) : partName(zone, say)}</span></div>`,
  );
}

function carried(carries: readonly CarryTime[], { say, locale }: Words): TemplateResult {
  return html`<details open>
    <summary>${say('mow.carried')} <span class="quiet">${say('mow.timesAWeek', { n: carries.length })}</span></summary>
    <table>
      <tbody>
        ${carries.map(
          ({ zone, day, from, to }) => html`<tr>
            <th scope="row">${dayName(day, locale)}</th>
            <td>${from}–${to} <span class="quiet">${partName(zone, say)}</span></td>
          </tr>`,
        )}
      </tbody>
    </table>
  </details>`;
}

/** 4, 5, 6, 10 -> 'April to June, October' */
function monthsSaid(months: readonly number[], { say, locale }: Words): string {
  const runs: number[][] = [];
  for (const month of months) {
    const last = runs.at(-1);
    if (last !== undefined && last[last.length - 1] === month - 1) last.push(month);
    else runs.push([month]);
  }
  return runs
    .map((run) => {
      const [from, to] = [monthName(run[0], locale), monthName(run[run.length - 1], locale)];
      return run.length === 1 ? from : say('mow.fromTo', { from, to });
    })
    .join(', ');
}

function told(simulation: NonNullable<State['simulation']>, figures: Figures, say: Say): TemplateResult {
  const { share, clockH, mowingH, edgeLapH, chargingTrips, passages } = simulation;
  const values = {
    clock: figures.hours(clockH),
    share: figures.percent(100 * share),
    mowing: figures.hours(mowingH),
    edge: figures.hours(edgeLapH),
    n: chargingTrips,
  };
  return html`<p>${say('mow.told', values)}</p>
    ${passages.map(({ passage, trips }) => html`<p>${say('mow.through', { n: trips, passage: partName(passage, say) })}</p>`)}`;
}

/** 1 Monday to 7 Sunday: 1 January 2024 was a Monday. */
function dayName(day: number, locale: string): string {
  return new Intl.DateTimeFormat(locale, { weekday: 'long', timeZone: 'UTC' }).format(Date.UTC(2024, 0, day));
}

function monthName(month: number, locale: string): string {
  return new Intl.DateTimeFormat(locale, { month: 'long', timeZone: 'UTC' }).format(Date.UTC(2024, month - 1, 1));
}
