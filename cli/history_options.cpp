#include "history_options.hpp"

#include <cstddef>

#include "bearingdsp/history/store.hpp"
#include "plant.hpp"
#include "terminal.hpp"

namespace cli {

CLI::Option* add_store_option(CLI::App& command, std::string& store, const std::string& help,
                              StoreNote note) {
  CLI::Option* option = command.add_option("--store", store, help);
  if (!store.empty()) {
    // Before the words are read, which go before it.
    command.preparse_callback([&store](std::size_t) {
      const auto plant = plant_here();
      if (!plant) throw CLI::ValidationError{plant.error().message()};
      if (*plant) store = (*plant)->store;
    });
    if (note == StoreNote::by_option)
      command.parse_complete_callback([option] {
        const auto plant = plant_here();
        if (option->empty() && plant && *plant) print_note(store_taken(**plant));
      });
  }
  return option->type_name("FILE")->check(
      CLI::Validator{[](const std::string& name) {
                       const auto possible = bearingdsp::check_store_name(name);
                       return possible ? std::string{} : possible.error().message();
                     },
                     ""});
}

bearingdsp::Error no_kind(const std::string& word) {
  return {bearingdsp::Errc::bad_argument, word, "is not a kind of event",
          "choose one of bearing-replaced, greased, repaired, alarm-acknowledged, note"};
}

std::vector<std::string> read_by(const bearingdsp::Route& route, const std::string& store) {
  std::vector<std::string> files{store};
  for (const bearingdsp::Machine& machine : route.machines)
    files.push_back(machine.where.substr(0, machine.where.rfind(':')));
  return files;
}

}  // namespace cli
