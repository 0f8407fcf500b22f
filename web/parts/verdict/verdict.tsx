import type { Check, Verdict as VerdictName } from "../../session/engine";
import { t } from "../../words/words";

/** A verdict as it is shown: advice that is not taken breaks nothing, so it has a word and a shape of its own. */
export type Shown = VerdictName | "unwise";
type Severity = Check["severity"];
type Shape = { edge: string; mark?: string };

const shapes: { [shown in Shown]: Shape } = {
  meets: { edge: "M12 2a10 10 0 1 0 .01 0", mark: "M7 12.5l3.5 3.5 6.5-8" },
  does_not_meet: { edge: "M7.5 2h9L22 7.5v9L16.5 22h-9L2 16.5v-9z", mark: "M8 8l8 8M16 8l-8 8" },
  cannot_tell: {
    edge: "M12 1.5 22.5 12 12 22.5 1.5 12z",
    mark: "M9.4 9.8c.2-3.4 5.4-3.4 5.4-.3 0 2-2.8 2.2-2.8 4.3M12 17v.6",
  },
  does_not_apply: { edge: "M5 12h14" },
  unwise: { edge: "M3.5 3.5h17v17h-17z", mark: "M12 7.5v6M12 16.6v.4" },
};

/** What a check is shown as. */
export function shownAs(check: { verdict: VerdictName; severity: Severity | null }): Shown {
  return check.verdict === "does_not_meet" && check.severity === "advice" ? "unwise" : check.verdict;
}

/**
 * The shape of a verdict: tick in a ring, cross cut into a solid block, question in a dashed lozenge, dash; a square
 * with an exclamation mark for advice.
 */
export function VerdictShape({ verdict }: { verdict: Shown }) {
  const { edge, mark } = shapes[verdict];
  return (
    <svg class={`shape ${verdict}`} viewBox="0 0 24 24" aria-hidden="true" focusable="false">
      <path class="edge" d={edge} />
      {mark && <path class={verdict === "does_not_meet" ? "cut" : "mark"} d={mark} />}
    </svg>
  );
}

export type VerdictProps = {
  verdict: VerdictName;
  severity?: Severity | null;
  /** Whether answers were given since, which this verdict does not know of. */
  stale?: boolean;
};

/** A verdict by word and shape; colour says nothing that these do not. */
export function Verdict({ verdict, severity = null, stale = false }: VerdictProps) {
  const shown = shownAs({ verdict, severity });
  const weight =
    shown === "does_not_meet" ? severity : shown === "cannot_tell" && severity === "advice" ? severity : null;
  return (
    <span class={`verdict ${shown}`}>
      <VerdictShape verdict={shown} />
      <span>
        {t(shown)}
        {weight && <span class="severity"> · {t(weight)}</span>}
        {stale && <span class="severity"> · {t("before_last_answers")}</span>}
      </span>
    </span>
  );
}
