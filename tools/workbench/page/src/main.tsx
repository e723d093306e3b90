import { render } from "preact";
import { App } from "./app";
import { start } from "./live";
import "./style/base.css";
import "./style/parts.css";
import "./style/pages.css";
import "./style/days.css";
import "./style/clip.css";
import "./style/set.css";
import "./style/plan.css";
import "./style/print.css";

void start();
render(<App />, document.getElementById("page")!);
