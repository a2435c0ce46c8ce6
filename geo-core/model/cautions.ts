/** What every plan says before anybody digs, lays or runs. None of it replaces local rules, the manual or licensed practice. */
export const CAUTIONS: readonly string[] = [
  'Local codes and the manual of the machine come first: where they differ from this plan, they hold.',
  'Have buried services located and marked before digging; private lines such as irrigation and garden lighting are often not marked by anybody.',
  'The supply needs an outdoor outlet with residual-current protection; leave outlet, connection and any fixed wiring to a licensed electrician.',
  'Check every drop-off on site: a wire keeps a working machine away, it does not hold one that slides.',
  'Check every stretch along open water on site; a raised rim or a fence is safer than any distance.',
  'Along public ways keep the machine on private ground behind a fence or hedge, and ask which rules hold there.',
  'Keep children and pets off the lawn while the machine mows.',
  'Do not mow at night or at dusk, when small wild animals are about.',
  'The blades keep turning for a moment after the machine is lifted or stopped: switch it off before touching it.',
  'Peg wire and cable flat to the ground or bury them: a loose loop is a trip hazard and gets cut.',
];
