import type { Finding } from '#geo-core/model/finding.ts';
import type { Plan } from '#geo-core/model/plan.ts';
import type {
  Audit,
  DerivedLawn,
  EdgedPolygon,
  InsetPolygon,
  JoinedRoute,
  LaidLoops,
  SettingOut,
  SignalCheck,
  SitedStations,
  SlopeCheck,
  SlopeSurvey,
  Upkeep,
  ZonedArea,
} from '#geo-core/model/plane-plan.ts';
import type { PlaneSite, Site } from '#geo-core/model/site.ts';
import type { TakeOff } from '#geo-core/model/take-off.ts';
import type { Figures } from '../figures.ts';
import type { Say } from '../wording/words.ts';
import type { Pen } from './pen.ts';

/** The output of every stage by its id, as the planner hands them to `trace`. */
export type StageOutputs = {
  readonly '05-read-site': Site;
  readonly '10-project-site': PlaneSite;
  readonly '15-derive-lawn': DerivedLawn;
  readonly '20-survey-slope': SlopeSurvey | undefined;
  readonly '25-classify-edges': readonly EdgedPolygon[];
  readonly '30-offset-boundary': readonly InsetPolygon[];
  readonly '35-loop-keep-outs': LaidLoops;
  readonly '40-split-zones': ZonedArea;
  readonly '45-site-station': SitedStations;
  readonly '50-join-route': JoinedRoute;
  readonly '52-check-slope': SlopeCheck | undefined;
  readonly '55-check-signal': SignalCheck;
  readonly '60-set-out': SettingOut;
  readonly '65-take-off': TakeOff;
  readonly '70-plan-upkeep': Upkeep;
  readonly '75-audit-plan': Audit;
  readonly '80-unproject-plan': Plan;
};

/** What the sheets are drawn from. `labels` names features of the site by their pointer, where their file does. */
export type Material = {
  readonly outputs: StageOutputs;
  readonly plan: Plan;
  readonly findings: readonly Pick<Finding, 'code'>[];
  readonly labels: ReadonlyMap<string, string>;
  readonly pen: Pen;
  readonly figures: Figures;
  readonly say: Say;
};
