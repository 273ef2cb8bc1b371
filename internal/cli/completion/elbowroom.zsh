#compdef elbowroom
# Completion of elbowroom for zsh: source <(elbowroom completion zsh)
_elbowroom() {
    local -a found
    local word says
    while IFS=$'\t' read -r word says; do
        found+=("${word//:/\\:}:${says}")
    done < <("${words[1]}" complete -- "${(@)words[2,CURRENT]}" 2>/dev/null)
    if (( ${#found} )); then
        _describe 'elbowroom' found
    else
        _files
    fi
}
compdef _elbowroom elbowroom
