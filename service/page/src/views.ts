// Every view but the first: fetched once that is at work, or when one of them is asked for.
export { Answer } from "./views/answer";
export { ImportPage } from "./views/import";
export { InspectPage } from "./views/inspect";
export { LearnPage } from "./views/learn";
export { LoopPage } from "./views/loop";
export { PlacesPage } from "./views/places";
export { RegisterPage } from "./views/register";
export { ReviewPage } from "./views/review";
