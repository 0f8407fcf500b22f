import type { Result } from "../../session/engine";
import { t } from "../../words/words";

const LONG_CELL = /.{12}/;

export type ResultTableProps = { table: Result["sheet"][number] };

/**
 * A small table of a result: a line's name and its values side by side; on a very narrow page one below the other.
 * The roles are written out because some browsers drop those of a table that is laid out as something else.
 */
export function ResultTable({ table }: ResultTableProps) {
  const whole = table.rows.every((row) => row.assumed);
  const isShort = table.rows.every((row) => row.cells.every((cell) => !LONG_CELL.test(cell)));
  return (
    <table class={isShort ? "result-table short" : "result-table"} role="table" lang="en">
      <caption>
        {table.title}
        {whole && <Assumed />}
      </caption>
      <thead role="rowgroup" class={table.columns.length === 1 ? "hidden" : undefined}>
        <tr role="row">
          <td role="cell" />
          {table.columns.map((column) => (
            <th key={column} role="columnheader" scope="col">
              {column}
            </th>
          ))}
        </tr>
      </thead>
      <tbody role="rowgroup">
        {table.rows.map((row) => (
          <tr key={row.label} role="row">
            <th role="rowheader" scope="row">
              {row.label}
              {row.assumed && !whole && <Assumed />}
            </th>
            {row.cells.map((cell, index) => (
              <td
                key={table.columns[index]}
                role="cell"
                data-label={table.columns.length === 1 ? undefined : table.columns[index]}
                class={row.assumed ? "assumed" : undefined}
              >
                <span>{cell || t("none_here")}</span>
              </td>
            ))}
          </tr>
        ))}
      </tbody>
    </table>
  );
}

function Assumed() {
  return <em class="assumption"> {t("on_assumption")}</em>;
}
