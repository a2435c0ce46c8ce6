import type { Finding } from '#geo-core/model/finding.ts';
import type {
  Audit,
  DerivedLawn,
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
import type { PlaneSite } from '#geo-core/model/site.ts';
import type { TakeOff } from '#geo-core/model/take-off.ts';

/** Everything the stages found out about a site, in metres of its plane. */
export type PlaneResult = {
  readonly site: PlaneSite;
  readonly lawn: DerivedLawn;
  readonly slope: SlopeSurvey | undefined;
  readonly loops: LaidLoops;
  readonly zones: ZonedArea;
  readonly stations: SitedStations;
  readonly route: JoinedRoute;
  readonly slopeCheck: SlopeCheck | undefined;
  readonly signal: SignalCheck;
  readonly settingOut: SettingOut;
  readonly takeOff: TakeOff;
  readonly upkeep: Upkeep;
  readonly audit: Audit;
  /** What all stages noticed, in order. */
  readonly findings: readonly Finding[];
};
