# Completion of elbowroom for fish: elbowroom completion fish | source
function __elbowroom
    set -l words (commandline --tokenize --cut-at-cursor --current-process)
    set -l last (commandline --current-token --cut-at-cursor)
    $words[1] complete -- $words[2..-1] "$last" 2>/dev/null
end
complete --command elbowroom --no-files --arguments '(__elbowroom)'
complete --command elbowroom --long-option guide --force-files --require-parameter
complete --command elbowroom --long-option workshop --force-files --require-parameter
