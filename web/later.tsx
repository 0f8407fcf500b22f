/** The screens that nobody opens first. They come in after the first screen, so that it comes sooner. */
export { About } from "./screens/about";
export { CheckAnswers } from "./screens/check_answers";
export { Checklist } from "./screens/checklist";
export { InTheBin, NoJob, OtherFormat } from "./screens/no_job";
export { Report } from "./screens/report";
export { Results } from "./screens/results";
export { Site } from "./screens/site";
