#pragma once

#include <memory>

#include "terminal.h"

namespace CLI {
class App;
}

namespace greywright::cli {

/// The commands that make sheets and read pictures without an instrument: sheet, device, look.
class SheetCommands {
  public:
    /// `exit` is set by the command that runs.
    SheetCommands(const Terminal& terminal, int& exit);
    ~SheetCommands();
    SheetCommands(const SheetCommands&) = delete;
    SheetCommands& operator=(const SheetCommands&) = delete;

    void describe(CLI::App& app);

  private:
    class Commands;
    std::unique_ptr<Commands> commands_;
};

}  // namespace greywright::cli
