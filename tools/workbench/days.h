#pragma once

#include <map>
#include <memory>
#include <mutex>
#include <string>

#include "tools/workbench/folder.h"
#include "tools/workbench/jobs.h"
#include "tools/workbench/reply.h"
#include "tools/workbench/session_store.h"

/// Whole days: recordings of many sets and the sheet that says whose they are. A day is called by
/// its recording, of several by the first, and kept in days/: NAME.json as the page asks for it,
/// NAME.csv the filled sheet, NAME.html to print, NAME.files/ links to several recordings, a folder
/// a camera. Written anew by each analysis; the sets themselves are sessions of the logbook.

namespace kinetics::workbench {

class Days {
 public:
  Days(const Folder& folder, SessionStore& store) : folder_(folder), store_(store) {}

  /// {"clip" or "log" or "recordings": [{"name", "camera"}], "sheet", "day", "options"}. What would
  /// be refused later is refused now.
  [[nodiscard]] JobRequest asked_for(const Json& body) const;

  /// The same day once more, with its sheet and the coach's words as they are now.
  [[nodiscard]] JobRequest again(const std::string& name) const;

  /// The job's work; one at a time. Returns the day's name. Errors: as analyse_day; JobStopped.
  [[nodiscard]] std::string analyse(const JobRequest& request, const JobTalk& talk);

  /// [{"name", "sheet", "held_on", "sets", "doubtful", "missed"}], the newest day first.
  [[nodiscard]] Json list();

  /// As stored, and of each set the session that counts now (null: gone) and what the coach has
  /// said of it since: "told" is null, {"row": 7} or {"row": null} for nobody's.
  [[nodiscard]] Json one(const std::string& name);

  /// Keeps the coach's word on a set: {"set": 5, "row": 7}, {"set": 5, "row": null} for nobody's,
  /// {"set": 5, "open": true} to leave it to the program again. Refusal 409 for a row that another
  /// set was said to be.
  void tell(const std::string& name, const Json& word);

  /// The day that a session was cut out of; empty for any other.
  [[nodiscard]] std::string of_session(const Session& session, const std::string& id);

 private:
  struct Stored {
    std::string state;
    Json words;
  };
  /// What analyse_day is to look at: the recording, or a folder of links to several.
  [[nodiscard]] std::string place_of(const JobRequest& request) const;
  [[nodiscard]] std::shared_ptr<const Json> read(const std::string& name);
  void keep_corrections(Json& day);
  void keep_correction(const std::string& file, const std::string& fresh, Json& notes);
  void set_aside(const std::string& file) const;
  [[nodiscard]] std::string rows_file(const Json& day) const;

  const Folder& folder_;
  SessionStore& store_;
  std::timed_mutex analysing_;
  std::mutex mutex_;  ///< of the below
  std::map<std::string, std::shared_ptr<const Stored>> read_;
};

}  // namespace kinetics::workbench
