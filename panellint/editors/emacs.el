;;; Emacs 26.3 or newer with eglot (part of Emacs from 29 on): the server for panel files, with
;;; `panellint` on the PATH. Put this into your init.el.
(define-derived-mode panel-mode text-mode "Panel" "The label of a dog or cat food.")
(add-to-list 'auto-mode-alist '("\\.panel\\'" . panel-mode))
(with-eval-after-load 'eglot
  (add-to-list 'eglot-server-programs '(panel-mode . ("panellint" "serve"))))
(add-hook 'panel-mode-hook #'eglot-ensure)
