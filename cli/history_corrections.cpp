#include <fmt/format.h>

#include <algorithm>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "bearingdsp/history/store.hpp"
#include "bearingdsp/report/history.hpp"
#include "commands.hpp"
#include "correction_options.hpp"
#include "history_options.hpp"
#include "show.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

/// Reading comes first, so that a wrong name makes no store.
Result<History> opened(const CorrectionCommand& o) {
  if (auto there = History::open(o.store, Access::read_only); !there) return there;
  return History::open(o.store, Access::read_write);
}

/// Shows what the journal got.
Exit tell(History& history, std::size_t entries) {
  const auto journal = history.journal();
  if (!journal) return fail(journal.error());
  for (std::size_t i = journal->size() - entries; i < journal->size(); ++i) {
    const JournalEntry& e = (*journal)[i];
    print_line(fmt::format("{}{}{}{}{}{}", e.action, e.entry.empty() ? "" : " ", e.entry,
                           e.before.empty() ? "" : ": " + e.before, e.after.empty() ? "" : " -> ",
                           e.after));
  }
  return Exit::no_fault;
}

Exit run_edit(const CorrectionCommand& o) {
  const auto ids = ids_of(o);
  if (!ids) return fail(ids.error());
  const auto correction = correction_of(o);
  if (!correction) return fail(correction.error());
  auto history = opened(o);
  if (!history) return fail(history.error());
  if (const auto done = history->correct(*ids, *correction, o.why); !done)
    return fail(done.error());
  return tell(*history, ids->size());
}

template <Result<void> (History::*what)(std::span<const EntryId>, const std::string&)>
Exit run_simple(const CorrectionCommand& o) {
  const auto ids = ids_of(o);
  if (!ids) return fail(ids.error());
  auto history = opened(o);
  if (!history) return fail(history.error());
  if (const auto done = ((*history).*what)(*ids, o.why); !done) return fail(done.error());
  return tell(*history, ids->size());
}

Exit run_rename(const CorrectionCommand& o) {
  auto history = opened(o);
  if (!history) return fail(history.error());
  if (const auto done = history->rename({o.machine, o.point}, o.to, o.join, o.why); !done)
    return fail(done.error());
  return tell(*history, 1);
}

Exit run_entries(const CorrectionCommand& o) {
  auto history = History::open(o.store, Access::read_only);
  if (!history) return fail(history.error());
  const auto points = history->points_of(o.machine, o.point);
  if (!points) return fail(points.error());
  std::vector<HistoryEntry> all;
  for (const PointKey& at : *points) {
    const auto entries = history->entries(at);
    if (!entries) return fail(entries.error());
    for (const HistoryEntry& e : *entries) {
      const bool listed = std::any_of(all.begin(), all.end(),
                                      [&](const HistoryEntry& other) { return other.id == e.id; });
      if (!listed) all.push_back(e);
    }
  }
  if (o.json)
    for (const HistoryEntry& e : all) print(entry_json(e) + "\n");
  else
    show(history_entries_report(all, points->front().machine), o.printing);
  return Exit::no_fault;
}

Exit run_changes(const CorrectionCommand& o) {
  auto history = History::open(o.store, Access::read_only);
  if (!history) return fail(history.error());
  const auto journal = history->journal();
  if (!journal) return fail(journal.error());
  if (o.json)
    for (const JournalEntry& e : *journal) print(change_json(e) + "\n");
  else
    show(journal_report(*journal, o.store), o.printing);
  return Exit::no_fault;
}

}  // namespace

void add_history_corrections(CLI::App& history, Run& run) {
  auto o = std::make_shared<CorrectionCommand>();
  const auto add = [&](const char* name, const char* help, Exit (*what)(const CorrectionCommand&)) {
    CLI::App* c = history.add_subcommand(name, help);
    add_store_option(*c, o->store);
    set_run(*c, run, o, what);
    return c;
  };
  add_entries_options(*add("entries", entries_help, run_entries), *o);
  add_edit_options(*add("edit", edit_help, run_edit), *o);
  add_number_options(*add("remove", remove_help, run_simple<&History::remove>), *o);
  add_number_options(*add("restore", restore_help, run_simple<&History::restore>), *o);
  add_rename_options(*add("rename", rename_help, run_rename), *o);
  add_changes_options(*add("changes", changes_help, run_changes), *o);
}

}  // namespace cli
