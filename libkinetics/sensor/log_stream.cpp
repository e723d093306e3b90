#include "libkinetics/sensor/log_stream.h"

#include <functional>
#include <future>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/sensor/even_stamps.h"
#include "libkinetics/sensor/row_order.h"

namespace kinetics::sensor_detail {
namespace {

std::string rows_were(std::size_t rows) {
  return rows == 1 ? "1 row was" : fmt::format("{} rows were", rows);
}

Notes notes_of(const LogPlan& plan,
               const LogText& text,
               const RowParser& parser,
               const RowOrder& order,
               const EvenStamps& stamps) {
  Notes notes;
  const auto caution = [&](std::string sentence) {
    notes.push_back({NoteKind::kCaution, std::move(sentence)});
  };
  const auto from = [&](const LeftOut& tally) {
    return fmt::format("{}{}:{}", tally.rows == 1 ? "" : "the first at ", plan.file, tally.line);
  };
  if (const LeftOut& wrong = parser.wrong(); wrong.rows > 0) {
    caution(fmt::format(
        "{} wrong and left out, {}: {}.", rows_were(wrong.rows), from(wrong), wrong.reason));
  }
  if (const LeftOut& missing = parser.missing(); missing.rows > 0) {
    caution(fmt::format("{} left out because a reading is missing, {}: {}.",
                        rows_were(missing.rows),
                        from(missing),
                        missing.reason));
  }
  if (parser.cut_short()) caution("The last row is cut short and was left out.");
  if (text.zero_bytes_skipped()) {
    caution("The file has stretches of zero bytes, as a logger leaves behind that loses power.");
  }
  if (const LeftOut& headers = parser.repeated_headers(); headers.rows > 0) {
    notes.push_back(
        {NoteKind::kDecision,
         fmt::format("The header is there again {} times, {}: the logger was restarted.",
                     headers.rows,
                     from(headers))});
  }
  if (const LeftOut& twice = stamps.duplicates(); twice.rows > 0) {
    caution(fmt::format("{} there twice and dropped, {}.", rows_were(twice.rows), from(twice)));
  }
  if (const LeftOut& stray = order.stray(); stray.rows > 0) {
    caution(fmt::format("{} dropped because the stamp does not fit those around it, {}.",
                        rows_were(stray.rows),
                        from(stray)));
  }
  if (const LeftOut& moved = order.moved(); moved.rows > 0) {
    caution(fmt::format("{} out of order and sorted in, {}.", rows_were(moved.rows), from(moved)));
  }
  if (const LeftOut& laid = stamps.laid_out(); laid.rows > 0) {
    caution(fmt::format("{} stamped like the one before and laid out evenly, {}.",
                        rows_were(laid.rows),
                        from(laid)));
  }
  if (order.overruns() > 0) {
    notes.push_back(
        {NoteKind::kDecision,
         fmt::format("The clock began again {} and was carried on.",
                     order.overruns() == 1 ? std::string("once")
                                           : fmt::format("{} times", order.overruns()))});
  }
  return notes;
}

struct ParsedBlock {
  std::vector<LogRow> rows;
  bool end = false;
  double read_share = -1.0;  ///< of the file; below 0 where its size is not known
};

// `room` is what an earlier block's rows were in.
ParsedBlock parse_block(LogText& text, RowParser& parser, std::vector<LogRow> room) {
  ParsedBlock out{.rows = std::move(room)};
  out.rows.clear();
  const std::string_view block = text.next();
  out.end = block.empty();
  if (out.end) return out;
  parser.parse(block, out.rows);
  if (text.bytes() > 0) {
    out.read_share = static_cast<double>(text.bytes_read()) / static_cast<double>(text.bytes());
  }
  return out;
}

}  // namespace

StreamResult stream_rows(LogText& text,
                         const LogPlan& plan,
                         const Progress& progress,
                         const std::function<void(std::span<const LogRow>)>& take) {
  RowParser parser(plan);
  RowOrder order(plan);
  EvenStamps stamps(plan);
  std::vector<LogRow> sorted;
  std::vector<LogRow> timed;
  const auto flush = [&] {
    if (!timed.empty()) take(timed);
    sorted.clear();
    timed.clear();
  };
  // The next block is parsed while the last one is put in order; text and parser belong to that
  // task alone until it is done.
  const auto policy = text.head_is_all() ? std::launch::deferred : std::launch::async;
  std::vector<LogRow> room;
  const auto parse_next = [&] {
    return std::async(policy, parse_block, std::ref(text), std::ref(parser), std::move(room));
  };
  std::future<ParsedBlock> ahead = parse_next();
  for (ParsedBlock block = ahead.get(); !block.end; block = ahead.get()) {
    ahead = parse_next();
    if (plan.time) {
      order.add(block.rows, sorted);
    } else {
      sorted.swap(block.rows);
    }
    stamps.add(sorted, timed);
    flush();
    if (progress) progress(block.read_share);
    room = std::move(block.rows);
  }
  parser.finish(text.last_line_is_open());
  order.finish(sorted);
  stamps.add(sorted, timed);
  stamps.finish(timed);
  flush();
  return {.rows = parser.rows(),
          .stamp_sigma_s = stamps.sigma_s(),
          .notes = notes_of(plan, text, parser, order, stamps)};
}

}  // namespace kinetics::sensor_detail
