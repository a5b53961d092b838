" Vim 9: lint a panel file as it is read and written; findings are underlined, and in :lopen.
highlight default PanellintMark cterm=underline gui=undercurl
call prop_type_add('panellint', #{highlight: 'PanellintMark'})
function! s:Byte(at) abort
  let l:units = []
  for l:char in str2list(getline(a:at.line + 1)) | let l:units += l:char > 0xffff ? [l:char, 0] : [l:char] | endfor
  return strlen(list2str(filter(slice(l:units, 0, a:at.character), 'v:val'))) + 1
endfunction
function! s:Lint() abort
  let l:command = get(g:, 'panellint', 'panellint') .. ' lint --format lsp --as ' .. shellescape(expand('%:p')) .. ' - 2>/dev/null'
  call prop_remove(#{type: 'panellint', all: v:true})
  let l:told = []
  for l:one in get(json_decode(system(l:command, getline(1, '$'))), 0, #{diagnostics: []}).diagnostics
    let [l:from, l:to] = [l:one.range.start, l:one.range.end]
    call prop_add(l:from.line + 1, s:Byte(l:from), #{type: 'panellint', end_lnum: min([l:to.line + 1, line('$')]), end_col: s:Byte(l:to)})
    call add(l:told, #{bufnr: bufnr(), lnum: l:from.line + 1, col: s:Byte(l:from), text: l:one.message, type: 'EWIN'[l:one.severity - 1]})
  endfor
  call setloclist(0, l:told)
endfunction
autocmd BufReadPost,BufWritePost *.panel call s:Lint()
