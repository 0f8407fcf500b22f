/** The screens that nobody opens first. They come in after the first screen, so that it comes sooner. */
export { About } from "./screens/about";
export { CheckAnswers } from "./screens/check_answers";
export { Checklist } from "./screens/checklist";
export { Report } from "./screens/report";
export { Site } from "./screens/site";
