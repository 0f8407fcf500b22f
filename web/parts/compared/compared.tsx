import type { Result } from "../../session/engine";
import { t } from "../../words/words";

export type ComparedProps = { lines: Result["nameplates"] };

/** What was there before beside what is there now, line by line, and what each difference changes. */
export function Compared({ lines }: ComparedProps) {
  return (
    <table class="compared" role="table">
      <caption class="hidden">{t("old_and_new")}</caption>
      <thead role="rowgroup">
        <tr role="row">
          <td role="cell" class="hidden" />
          <th role="columnheader" scope="col">
            {t("old")}
          </th>
          <th role="columnheader" scope="col">
            {t("new")}
          </th>
          <th role="columnheader" scope="col" class="hidden">
            {t("what_changes")}
          </th>
        </tr>
      </thead>
      <tbody role="rowgroup">
        {lines.map((line) => (
          <tr key={line.label} role="row" class={line.change}>
            <th role="rowheader" scope="row" lang="en">
              {line.label}
            </th>
            <td role="cell" lang="en" data-label={t("old")}>
              {line.old}
            </td>
            <td role="cell" lang="en" data-label={t("new")}>
              {line.new}
            </td>
            <td role="cell" class="effect">
              <strong>{t(`change_${line.change}`)}</strong> <span lang="en">{line.effect}</span>
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}
