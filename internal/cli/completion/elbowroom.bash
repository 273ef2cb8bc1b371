# Completion of elbowroom for bash: source <(elbowroom completion bash)
_elbowroom() {
    local line="${COMP_LINE:0:COMP_POINT}" words=() last="" found=() word
    read -ra words <<<"$line"
    # a new word begins after a space
    if [[ $line == *[[:space:]] ]]; then words+=(""); fi
    last="${words[${#words[@]} - 1]}"
    while IFS=$'\t' read -r word _; do
        found+=("$word")
    done < <("${words[0]}" complete -- "${words[@]:1}" 2>/dev/null)
    # bash breaks words at colons and equal signs: give back only what follows
    local cut=""
    if [[ $last == *[:=]* && $COMP_WORDBREAKS == *:* ]]; then cut="${last%"${last##*[:=]}"}"; fi
    COMPREPLY=("${found[@]#"$cut"}")
    if [[ ${#COMPREPLY[@]} -eq 0 ]]; then compopt -o default 2>/dev/null; fi
}
complete -F _elbowroom elbowroom
