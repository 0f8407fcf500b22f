import { t, type Word } from "../../words/words";

const places: { name: string; word: Word }[] = [
  { name: "answers", word: "nav_answers" },
  { name: "limits", word: "nav_limits" },
  { name: "checklist", word: "nav_checklist" },
  { name: "report", word: "nav_report" },
];

/** The four pages of a job; free to go to at any time. */
export function JobNav({ id, here }: { id: string; here: string }) {
  return (
    <nav class="job-nav" aria-label={t("nav_job")}>
      <ul>
        {places.map((place) => (
          <li key={place.name}>
            <a href={`#/job/${id}/${place.name}`} aria-current={place.name === here ? "page" : undefined}>
              {t(place.word)}
            </a>
          </li>
        ))}
      </ul>
    </nav>
  );
}
