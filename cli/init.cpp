#include <fmt/format.h>

#include <charconv>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <system_error>

#include "asking.hpp"
#include "bearingdsp/history/store.hpp"
#include "bearingdsp/machine/plant.hpp"
#include "bearingdsp/machine/toml_text.hpp"
#include "checks.hpp"
#include "commands.hpp"
#include "output_file.hpp"
#include "show.hpp"

namespace cli {
using namespace bearingdsp;
namespace fs = std::filesystem;

namespace {

struct InitCommand {
  std::string folder{"."}, name;
  std::optional<double> mains;
};

std::string plant_text(const InitCommand& o) {
  TomlLines t{
      "# What is the same for all recordings of this plant: docs/plant-folder.md.\n"
      "# Commands that run in this folder, or below it, take from here what you do not type."};
  t.add("name", o.name);
  if (o.mains)
    t.add("mains_hz", o.mains);
  else
    t.add_raw("# mains_hz", "50                     # 50 or 60");
  t.add_raw("machines", "\"machines.toml\"         # bearingdsp machine add");
  t.add_raw("route", "\"route.toml\"               # bearingdsp route add; not needed");
  t.add_raw("store", "\"history.db\"               # readings of route run");
  t.add_raw("recordings", "\"recordings\"          # folder of the recordings");
  t.add_raw("reports", "\"reports\"                # reports without a folder go here");
  return t.text() +
         "\n# Sensors with their recorders: bearingdsp sensor add. The first one is used unless\n"
         "# default_sensor names another, or a measuring point or recording does.\n"
         "# [[sensor]]\n"
         "# name = \"magnet\"\n"
         "# unit = \"g\"\n"
         "# full_scale = 10            # value of full scale of its audio files, in unit\n";
}

Result<void> make_folder(const fs::path& path) {
  std::error_code code;
  fs::create_directories(path, code);
  if (!code && fs::is_directory(path, code)) return {};
  return Error{Errc::io, path.string(), "cannot be made" + (code ? ": " + code.message() : ""),
               "choose another folder"};
}

Exit run_init(InitCommand o) {
  const fs::path folder{o.folder};
  const std::string path = (folder / plant_file_name).lexically_normal().string();
  std::error_code code;
  if (fs::exists(fs::symlink_status(path, code)))
    return fail({Errc::bad_argument, path, "exists already", "edit it, or choose another folder"});
  if (!o.mains && can_ask()) {
    const auto answer = ask("Mains frequency in Hz (50 or 60)", "50", wrong_number);
    double mains = 0;
    if (answer &&
        std::from_chars(answer->data(), answer->data() + answer->size(), mains).ec == std::errc{})
      o.mains = mains;
  }
  const std::string text = plant_text(o);
  if (const auto fine = parse_plant(text, path); !fine) return fail(fine.error());
  for (const char* name : {"recordings", "reports"})
    if (auto done = make_folder(folder / name); !done) return fail(done.error());
  if (auto store = History::open((folder / "history.db").string(), Access::read_write); !store)
    return fail(store.error());
  auto file = EditedFile::open(path);
  if (!file) return fail(file.error());
  if (auto done = file->save(text); !done) return fail(done.error());
  print_line(fmt::format("made {}, with recordings/, reports/ and history.db", path));
  print(
      "next: bearingdsp sensor add NAME --unit g --full-scale 10   (not needed without levels)\n"
      "      bearingdsp machine add NAME --bearing 6205 --rpm 1480\n"
      "      bearingdsp diagnose RECORDING\n");
  return Exit::no_fault;
}

}  // namespace

void add_init(CLI::App& app, Run& run) {
  auto o = std::make_shared<InitCommand>();
  CLI::App* c =
      app.add_subcommand("init",
                         "Makes a plant folder: plant.toml, recordings/, reports/ and history.db.\n"
                         "Example: bearingdsp init sawmill --mains 50");
  c->add_option("folder", o->folder, "folder to make (the current one)")->type_name("FOLDER");
  c->add_option("--name", o->name, "name of the plant")->type_name("TEXT");
  c->add_option("--mains", o->mains, "mains frequency, 50 or 60")
      ->type_name("HZ")
      ->check(between(10.0, 500.0));
  set_run(*c, run, o, run_init);
}

}  // namespace cli
