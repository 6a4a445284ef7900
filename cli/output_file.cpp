#include "output_file.hpp"

#include <algorithm>
#include <array>
#include <filesystem>
#include <fstream>
#include <system_error>
#include <utility>

#include "bearingdsp/capture/contents.hpp"
#include "bearingdsp/capture/together.hpp"
#include "bearingdsp/machine/route.hpp"
#include "bearingdsp/machine/text_file.hpp"
#include "cleanup.hpp"

namespace cli {
using bearingdsp::Errc;
using bearingdsp::Error;
using bearingdsp::Existing;
using bearingdsp::Result;
using bearingdsp::WholeFile;
namespace fs = std::filesystem;

namespace {

constexpr const char* mark = "written";

/// The same file, by whatever name; also where it is not there yet.
bool same_file(const std::string& a, const std::string& b) {
  std::error_code code;
  const bool is_there = fs::exists(b, code);
  if (fs::exists(a, code) || is_there) return fs::equivalent(a, b, code);
  const fs::path full = fs::weakly_canonical(fs::absolute(a, code), code);
  return !code && full == fs::weakly_canonical(fs::absolute(b, code), code) && !code;
}

/// A history, or any other database of its kind.
bool is_store(const std::string& path) {
  std::array<char, 15> start{};
  std::ifstream in{path, std::ios::binary};
  in.read(start.data(), start.size());
  return in && std::string_view{start.data(), start.size()} == "SQLite format 3";
}

/// A recording, or the list that says where recordings belong, in a folder that is read.
bool read_with(const std::string& folder, const std::string& path) {
  std::error_code code;
  if (!fs::is_directory(folder, code) || !fs::exists(path, code)) return false;
  if (fs::path{path}.filename() != bearingdsp::recording_list_name &&
      !bearingdsp::looks_like_recording(path) && !bearingdsp::list_contents(path))
    return false;
  auto at =
      fs::recursive_directory_iterator{folder, fs::directory_options::skip_permission_denied, code};
  for (; !code && at != fs::recursive_directory_iterator{}; at.increment(code))
    if (std::error_code other; fs::equivalent(at->path(), path, other)) return true;
  return false;
}

/// What a store keeps beside itself while it is open.
std::string without_store_ending(const std::string& path) {
  for (const std::string_view ending : {"-wal", "-shm", "-journal"})
    if (path.ends_with(ending)) return path.substr(0, path.size() - ending.size());
  return path;
}

}  // namespace

CLI::Option* add_output_option(CLI::App& command, OutputRules& rules, const std::string& name,
                               std::string& path, const std::string& meaning,
                               const std::string& group) {
  if (rules.command == nullptr) {
    auto* force = command.add_flag("--force", rules.force, "overwrite an existing file");
    if (!group.empty()) force->group(group);
  }
  rules.command = &command;
  auto* option = command.add_option(name, path, meaning);
  if (!group.empty()) option->group(group);
  option->check(CLI::Validator{
      [](std::string& text) { return text.empty() ? "is empty: give a file name" : ""; }, "",
      mark});
  return option;
}

bool is_output(CLI::Option& option) {
  try {
    return option.get_validator(mark) != nullptr;
  } catch (const CLI::OptionNotFound&) {
    return false;
  }
}

Result<void> OutputFile::commit() {
  return file_.commit(replace_ ? Existing::replace : Existing::keep);
}

OutputFiles::OutputFiles(const OutputRules& rules, const std::vector<std::string>& also_read)
    : force_{rules.force} {
  for (const std::string& path : also_read) read_.push_back({path, ""});
  if (rules.command == nullptr) return;
  for (CLI::Option* option : rules.command->get_options([](CLI::Option*) { return true; })) {
    if (is_output(*option)) continue;
    for (const std::string& value : option->results()) {
      const std::string by = " (" + option->get_name() + ")";
      read_.push_back({value, by});
      // FILE#NAME
      if (const auto hash = value.rfind('#'); hash != std::string::npos && hash > 0)
        read_.push_back({value.substr(0, hash), by});
    }
  }
}

Result<void> OutputFiles::check(const std::string& path, const std::string& target) const {
  const auto refused = [&](const std::string& why, const std::string& advice) {
    return Error{Errc::bad_argument, path, why, advice};
  };
  const std::string other = "write to another name";
  for (const Named& in : read_) {
    if (in.path.empty()) continue;
    if (same_file(target, in.path) || same_file(without_store_ending(target), in.path))
      return refused("is an input of this command" + in.by, other);
    if (read_with(in.path, target))
      return refused("is a recording in a folder that this command reads" + in.by, other);
  }
  for (const Named& out : written_)
    if (same_file(target, out.path)) return refused("is named twice as an output", other);
  if (is_store(target) || is_store(without_store_ending(target)))
    return refused("is a history store", other);
  std::error_code code;
  // A link that leads nowhere is there too.
  if (!force_ && fs::exists(fs::symlink_status(path, code)))
    return refused("exists already", "choose another name or give --force");
  return {};
}

Result<OutputFile> OutputFiles::open(const std::string& path) {
  const SignalsHeld held;
  auto file = WholeFile::start(path);
  if (!file) return file.error();
  if (auto fine = check(path, file->target()); !fine) return fine.error();
  remove_on_signal(file->temporary());
  written_.push_back({file->target(), ""});
  return OutputFile{std::move(*file), force_};
}

Result<EditedFile> EditedFile::open(const std::string& path) {
  EditedFile edited;
  edited.path_ = path;
  std::error_code code;
  edited.is_new_ = !fs::exists(fs::symlink_status(path, code));
  if (edited.is_new_) return edited;
  auto text = bearingdsp::read_text_file(path);
  if (!text) return text.error();
  edited.text_ = std::move(*text);
  return edited;
}

Result<void> EditedFile::save(const std::string& text) {
  const SignalsHeld held;
  auto file = WholeFile::start(path_);
  if (!file) return file.error();
  remove_on_signal(file->temporary());
  if (auto done = file->write(text); !done) return done;
  if (!is_new_) {
    const auto now = bearingdsp::read_text_file(path_);
    if (!now) return now.error();
    if (*now != text_)
      return Error{Errc::bad_argument, path_, "was changed by someone else meanwhile",
                   "nothing was written; run the command again"};
  }
  return file->commit(is_new_ ? Existing::keep : Existing::replace);
}

}  // namespace cli
