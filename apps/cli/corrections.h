#pragma once

#include <memory>

#include "terminal.h"

namespace CLI {
class App;
}

namespace greywright::cli {

/// The commands that correct where a setting cannot: curve, neutralise, profile, correction, prepare.
class CorrectionCommands {
  public:
    /// `exit` is set by the command that runs.
    CorrectionCommands(const Terminal& terminal, int& exit);
    ~CorrectionCommands();
    CorrectionCommands(const CorrectionCommands&) = delete;
    CorrectionCommands& operator=(const CorrectionCommands&) = delete;

    void describe(CLI::App& app);

  private:
    class Commands;
    std::unique_ptr<Commands> commands_;
};

}  // namespace greywright::cli
