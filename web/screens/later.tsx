/** The screens that nobody opens first. They come in after the first screen, so that it comes sooner. */
export { About } from "./about";
export { CheckAnswers } from "./check_answers";
export { Checklist } from "./checklist";
export { InTheBin, NoJob, OtherFormat } from "./no_job";
export { Report } from "./report";
export { Results } from "./results";
export { Site } from "./site";
