import { t } from "../../words/words";

/** Where a value or verdict comes from, and whether that place is confirmed for the edition. */
export function Citation({ section, confirmed }: { section?: string | null; confirmed?: boolean | null }) {
  if (!section) return null;
  return (
    <p class="citation">
      <span lang="en">{section}</span>
      {confirmed === false && <span class="unconfirmed"> · {t("section_not_confirmed")}</span>}
    </p>
  );
}
